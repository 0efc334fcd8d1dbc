#include "base/output_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <system_error>

#include "base/append_file.h"
#include "base/errors.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

bool lies_in(const fs::path& path, const fs::path& folder) {
    return std::mismatch(folder.begin(), folder.end(), path.begin(), path.end()).first == folder.end();
}

// The same file by device and inode, or inside the same folder: links lead nowhere else.
bool is_read_from(const fs::path& path, const std::string& input) {
    std::error_code error;
    if (!fs::is_directory(input, error))
        return fs::equivalent(path, input, error);
    const fs::path folder = fs::canonical(input, error);
    return lies_in(fs::canonical(path, error), folder) ||
           lies_in(fs::canonical(fs::absolute(path).parent_path(), error), folder);
}

[[noreturn]] void refuse(const std::string& path, const std::string& option, const std::string& found,
                         const std::string& remedy) {
    throw InputError(option, fmt::format("'{}' {}", path, found), remedy);
}

}  // namespace

void check_output(const std::string& path, const std::string& option, const OutputRules& rules) {
    std::error_code error;
    if (path.empty())
        refuse(path, option, "names no file", "name a file");
    if (!fs::exists(fs::symlink_status(path, error)))
        return;
    if (!fs::is_regular_file(fs::status(path, error)))
        refuse(path, option, "is no regular file, so nothing may take its place", "name a new file");
    for (const std::string& input : rules.inputs) {
        if (is_read_from(path, input)) {
            refuse(path, option,
                   fs::is_directory(input, error)
                       ? fmt::format("lies in '{}', which this command reads", input)
                       : "is read by this command",
                   "name a new file: nothing replaces what is read");
        }
    }
    if (!rules.force)
        refuse(path, option, "exists already", "name a new file, or replace this one with --force");
}

void write_output(const std::string& path, std::string_view bytes, const std::string& option,
                  const OutputRules& rules) {
    check_output(path, option, rules);
    const int error = try_write_whole_file(path, bytes, rules.force ? IfThere::replaced : IfThere::refused);
    if (error != 0) {
        throw MachineError(
            fmt::format("{}: cannot be written ({})", path, std::generic_category().message(error)),
            "name a file in a folder that exists, may be written to and has space");
    }
}

}  // namespace isoseam
