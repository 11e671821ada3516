#pragma once
#include "io/toml_table.hpp"
#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// What the feed says about structure, and what [structure] adds (docs/guide/structure). Faults go to the reader's log.
/// @param trial with machine, feeds and screw speed read
StructurePlan read_structure(TableReader& top, const Trial& trial);

}  // namespace quern
