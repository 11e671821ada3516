#include "io/input_id.hpp"

#include <boost/uuid/name_generator_sha1.hpp>
#include <boost/uuid/uuid.hpp>
#include <boost/uuid/uuid_io.hpp>

namespace quern {

void InputId::add(std::string_view text) {
  all_ += std::to_string(text.size()) + ':';
  all_ += text;
}

std::string InputId::str() const {
  const boost::uuids::name_generator_sha1 name(boost::uuids::ns::oid());
  return boost::uuids::to_string(name(all_));
}

}  // namespace quern
