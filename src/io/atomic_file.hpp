#pragma once
#include <string>
#include <string_view>

#include "base/error.hpp"
namespace quern {

/// Replaces a file's content in one step: after a kill or power cut at any moment, the path holds either the old
/// content or the new one, whole.
///
/// Written to a file of another name in the same folder, synced to disk, renamed over the path, folder synced.
/// Ends that a program can see (full disk, no right to write, a folder in the way) leave the old file untouched
/// and no other file behind; a kill may leave one named `.PATH.XXXXXX.part`. A symbolic link is followed, an
/// existing file keeps its permissions. Anything that is no regular file (/dev/stdout, a pipe) is written to directly.
/// Source: Pillai et al. (2014), All file systems are not created equal, OSDI, 433-448: order of write, sync, rename.
/// @throws InputError  names the path, what the system refused, and what would be right
void write_file(const std::string& path, std::string_view content);

}  // namespace quern
