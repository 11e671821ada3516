#include "jobs/sheet.hpp"

#include <filesystem>

#include "io/atomic_file.hpp"
#include "io/build_sheet.hpp"
#include "io/read_trial.hpp"

namespace quern {

std::string sheet_html(const std::string& project) { return build_sheet_html(read_trial(project)); }

void write_sheet(const std::string& project, const std::string& output) {
  std::error_code error;
  if (std::filesystem::equivalent(project, output, error) && !error)
    throw InputError({{.file = output, .wrong = "would overwrite the project", .right = "give it another name"}});
  write_file(output, sheet_html(project));
}

}  // namespace quern
