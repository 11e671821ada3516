#include "jobs/sheet.hpp"

#include <array>

#include "io/atomic_file.hpp"
#include "io/build_sheet.hpp"
#include "io/read_trial.hpp"
#include "jobs/outputs.hpp"

namespace quern {

std::string sheet_html(const std::string& project) { return build_sheet_html(read_trial(project)); }

void write_sheet(const std::string& project, const std::string& output) {
  refuse_overwriting(project, std::array{Output{"sheet", output}});
  write_file(output, sheet_html(project));
}

}  // namespace quern
