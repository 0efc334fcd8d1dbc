#pragma once
// The files that come with the program.

#include <functional>
#include <string>
#include <vector>

namespace isoseam {

struct ReadyFile {
    std::string name;
    std::string title;
    std::string path;
};

// A folder of ready files: the one that the environment variable names or, without it, the one of the source.
struct ReadyFolder {
    const char* what;       // "protocols"
    const char* variable;   // "ISOSEAM_PROTOCOL_LIBRARY"
    const char* of_source;  // its whole path
    const char* in_source;  // "protocols/library"
};

// The .yaml files of the folder by name. The title of a file that title_of() refuses with an InputError is its
// fault. MachineError when the folder cannot be read.
std::vector<ReadyFile> ready_files(const ReadyFolder& folder,
                                   const std::function<std::string(const std::string& path)>& title_of);

}  // namespace isoseam
