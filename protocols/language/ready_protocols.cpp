#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include "protocols/language/protocol.h"
#include "protocols/language/ready_protocols.h"

namespace isoseam {
namespace {

constexpr const char* kLibraryVariable = "ISOSEAM_PROTOCOL_LIBRARY";

std::filesystem::path library_folder() {
    const char* chosen = std::getenv(kLibraryVariable);
    return chosen != nullptr && *chosen != 0 ? chosen : ISOSEAM_PROTOCOL_LIBRARY;
}

std::string title_of(const std::string& path) {
    try {
        return read_protocol(path).title;
    } catch (const InputError& error) {
        return "does not read: " + to_string(error.faults().front());
    }
}

}  // namespace

std::vector<ReadyProtocol> ready_protocols() {
    const std::filesystem::path folder = library_folder();
    std::error_code failure;
    const std::filesystem::directory_iterator files(folder, failure);
    if (failure) {
        throw MachineError(
            fmt::format("the folder of ready protocols, {}, cannot be read: {}", folder.string(),
                        failure.message()),
            fmt::format("set {} to the folder protocols/library of Isoseam", kLibraryVariable));
    }
    std::vector<ReadyProtocol> found;
    for (const std::filesystem::directory_entry& file : files) {
        if (file.path().extension() == ".yaml")
            found.push_back(
                {file.path().stem().string(), title_of(file.path().string()), file.path().string()});
    }
    std::sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
    return found;
}

}  // namespace isoseam
