#pragma once
// The protocols that come with the program.
#include <string>
#include <vector>

namespace isoseam {

// Ready protocols that come with the program: those of the folder that the environment variable
// ISOSEAM_PROTOCOL_LIBRARY names, else of protocols/library of the source. A file that does not read has its
// fault as its title. MachineError when the folder cannot be read.
struct ReadyProtocol {
    std::string name;
    std::string title;
    std::string path;
};
std::vector<ReadyProtocol> ready_protocols();

}  // namespace isoseam
