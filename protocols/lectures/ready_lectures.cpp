#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include "protocols/lectures/lecture.h"

namespace isoseam {
namespace {

constexpr const char* kLibraryVariable = "ISOSEAM_LECTURE_LIBRARY";

std::filesystem::path library_folder() {
    const char* chosen = std::getenv(kLibraryVariable);
    return chosen != nullptr && *chosen != 0 ? chosen : ISOSEAM_LECTURE_LIBRARY;
}

std::string title_of_file(const std::string& path) {
    try {
        return read_lecture(path).stage.title;
    } catch (const InputError& error) {
        return "does not read: " + to_string(error.faults().front());
    }
}

}  // namespace

std::vector<ReadyLecture> ready_lectures() {
    const std::filesystem::path folder = library_folder();
    std::error_code failure;
    const std::filesystem::directory_iterator files(folder, failure);
    if (failure) {
        throw MachineError(
            fmt::format("the folder of ready lectures, {}, cannot be read: {}", folder.string(),
                        failure.message()),
            fmt::format("set {} to the folder protocols/lectures/library of Isoseam", kLibraryVariable));
    }
    std::vector<ReadyLecture> found;
    for (const std::filesystem::directory_entry& file : files) {
        const std::string path = file.path().string();
        if (file.path().extension() == ".yaml")
            found.push_back({file.path().stem().string(), title_of_file(path), path});
    }
    std::sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
    return found;
}

}  // namespace isoseam
