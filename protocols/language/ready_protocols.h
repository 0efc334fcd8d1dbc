#pragma once
// The protocols that come with the program.

#include "protocols/language/ready_files.h"

namespace isoseam {

// Ready protocols stand in the folder that the environment variable ISOSEAM_PROTOCOL_LIBRARY names or,
// without it, in protocols/library of the source. The title of a file that cannot be read is its fault.
// MachineError when the folder cannot be read.
using ReadyProtocol = ReadyFile;
std::vector<ReadyProtocol> ready_protocols();

}  // namespace isoseam
