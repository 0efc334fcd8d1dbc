#include "results_schema/export_files.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "base/errors.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

constexpr mode_t kFileMode = 0666;  // the user's umask is taken away from it

// The path without a slash at the end, so that a name can be put after it.
std::string trimmed(const std::string& folder) {
    const fs::path path = fs::absolute(folder).lexically_normal();
    return (path.has_filename() ? path : path.parent_path()).string();
}

void require_free(const std::string& out) {
    std::error_code ignored;
    const bool is_folder = fs::is_directory(out, ignored);
    if (fs::exists(out, ignored) && (!is_folder || !fs::is_empty(out, ignored))) {
        throw InputError(Fault{out, 0, 0, "",
                               is_folder ? "this folder is not empty, and nothing is overwritten"
                                         : "this is a file, not a folder",
                               "name a folder that is not there yet with --out"});
    }
}

}  // namespace

ExportFiles::ExportFiles(const std::string& out, const SystemCalls& calls)
    : calls_(calls), out_(trimmed(out)), aside_(out_ + ".unfinished") {
    require_free(out_);
    make_folders(calls_, fs::path(out_).parent_path().string());
    if (::mkdir(aside_.c_str(), kFolderMode) != 0) {
        if (errno == EEXIST) {
            throw InputError(Fault{aside_, 0, 0, "",
                                   "is what an export that did not come to its end has left",
                                   "remove it, unless that export is still at work, or name another folder "
                                   "with --out"});
        }
        throw_machine_error("make the folder", aside_, errno);
    }
}

ExportFiles::~ExportFiles() {
    if (!finished_) {
        open_.clear();
        std::error_code ignored;
        fs::remove_all(aside_, ignored);
    }
}

FileDescriptor ExportFiles::begin(const std::string& name) {
    const std::string folder = fs::path(name).parent_path().string();
    // Everything is synced at the end, so the folders need not be synced one by one.
    if (!folder.empty() && folders_.insert(folder).second) {
        fs::path made;
        for (const fs::path& part : fs::path(folder)) {
            made /= part;
            if (::mkdir(path(made.string()).c_str(), kFolderMode) != 0 && errno != EEXIST) {
                throw_machine_error("make the folder", path(made.string()), errno);
            }
        }
    }
    FileDescriptor file(calls_.open(path(name).c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, kFileMode));
    if (file.get() < 0) {
        throw_machine_error("write", path(name), errno);
    }
    names_.push_back(name);
    return file;
}

void ExportFiles::add(const FileDescriptor& file, const std::string& name, std::string_view text) const {
    const int error = write_all(calls_, file.get(), text);
    if (error != 0) {
        throw_machine_error("write", path(name), error);
    }
}

void ExportFiles::write(const std::string& name, std::string_view text) {
    add(begin(name), name, text);
}

void ExportFiles::write_json(const std::string& name, const nlohmann::json& json) {
    write(name, json.dump(2) + "\n");
}

void ExportFiles::append(const std::string& name, std::string_view text) {
    auto place = open_.find(name);
    if (place == open_.end()) {
        place = open_.emplace(name, begin(name)).first;
    }
    add(place->second, name, text);
}

void ExportFiles::finish() {
    open_.clear();
    sync_sessions(aside_);
    // The folder may take the place of an empty folder, but of nothing else.
    if (::rename(aside_.c_str(), out_.c_str()) != 0) {
        throw_machine_error(fmt::format("rename {} to", aside_), out_, errno);
    }
    finished_ = true;
    sync_folder(calls_, fs::path(out_).parent_path().string());
}

}  // namespace isoseam
