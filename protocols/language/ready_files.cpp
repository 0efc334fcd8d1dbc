#include "protocols/language/ready_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include "base/errors.h"

namespace isoseam {

std::vector<ReadyFile> ready_files(const ReadyFolder& folder,
                                   const std::function<std::string(const std::string& path)>& title_of) {
    const char* chosen = std::getenv(folder.variable);
    const std::filesystem::path place = chosen != nullptr && *chosen != 0 ? chosen : folder.of_source;
    std::error_code failure;
    const std::filesystem::directory_iterator files(place, failure);
    if (failure) {
        throw MachineError(
            fmt::format("the folder of ready {}, {}, cannot be read: {}", folder.what, place.string(),
                        failure.message()),
            fmt::format("set {} to the folder {} of Isoseam", folder.variable, folder.in_source));
    }
    std::vector<ReadyFile> found;
    for (const std::filesystem::directory_entry& file : files) {
        if (file.path().extension() != ".yaml")
            continue;
        ReadyFile ready{file.path().stem().string(), "", file.path().string()};
        try {
            ready.title = title_of(ready.path);
        } catch (const InputError& error) {
            ready.title = "does not read: " + to_string(error.faults().front());
        }
        found.push_back(std::move(ready));
    }
    std::sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
    return found;
}

}  // namespace isoseam
