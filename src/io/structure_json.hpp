#pragma once
#include <nlohmann/json.hpp>

#include "structure/structure_plan.hpp"
namespace quern {

/// The object "structure" of a result (docs/guide/structure). SI; what does not exist is null.
nlohmann::ordered_json structure_json(const Structure& structure);

}  // namespace quern
