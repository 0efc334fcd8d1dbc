#include "results_schema/disk.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

fs::path folder_above(const fs::path& path) {
    return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

// A path that is missing or forbidden counts as one that is not there. The call that follows will say why.
bool is_there(const fs::path& path) {
    std::error_code ignored;
    return fs::exists(path, ignored);
}

bool is_folder(const fs::path& path) {
    std::error_code ignored;
    return fs::is_directory(path, ignored);
}

}  // namespace

FileDescriptor::FileDescriptor(FileDescriptor&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}

FileDescriptor& FileDescriptor::operator=(FileDescriptor&& other) noexcept {
    std::swap(fd_, other.fd_);
    return *this;
}

FileDescriptor::~FileDescriptor() {
    if (fd_ >= 0) {
        ::close(fd_);
    }
}

int write_all(const SystemCalls& calls, int fd, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t written = calls.write(fd, bytes.data(), bytes.size());
        if (written > 0) {
            bytes.remove_prefix(static_cast<std::size_t>(written));
        } else if (written == 0) {
            // Nothing was taken, and no reason was given. Trying for ever would hang the session.
            return EIO;
        } else if (errno != EINTR) {
            return errno;
        }
    }
    return 0;
}

int sync_file(const SystemCalls& calls, int fd) {
    while (calls.sync(fd) != 0) {
        if (errno != EINTR) {
            return errno;
        }
    }
    return 0;
}

void sync_folder(const SystemCalls& calls, const std::string& folder) {
    const FileDescriptor file(calls.open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC, 0));
    if (file.get() < 0) {
        throw_machine_error("open the folder", folder, errno);
    }
    while (calls.sync_folder(file.get()) != 0) {
        if (errno == EINVAL) {
            return;
        }
        if (errno != EINTR) {
            throw_machine_error("sync the folder", folder, errno);
        }
    }
}

void make_folders(const SystemCalls& calls, const std::string& folder) {
    if (is_folder(folder)) {
        return;
    }
    if (is_there(folder)) {
        throw MachineError(
            fmt::format("cannot make a session folder in {}: it is a file, not a folder", folder),
            "choose another folder with --out");
    }
    const fs::path above = folder_above(folder);
    make_folders(calls, above);
    if (::mkdir(folder.c_str(), kFolderMode) != 0 && errno != EEXIST) {
        throw_machine_error("make the folder", folder, errno);
    }
    sync_folder(calls, above);
}

std::uint64_t free_bytes(const std::string& path) {
    fs::path place = path.empty() ? fs::path(".") : fs::path(path);
    while (!is_there(place) && place != folder_above(place)) {
        place = folder_above(place);
    }
    struct statvfs info {};
    if (::statvfs(place.c_str(), &info) != 0) {
        throw_machine_error("ask for the free space of", place, errno);
    }
    return std::uint64_t{info.f_bavail} * std::uint64_t{info.f_frsize};
}

void throw_machine_error(const std::string& action, const std::string& path, int error) {
    const std::string tried =
        fmt::format("cannot {} {} ({})", action, path, std::generic_category().message(error));
    switch (error) {
        case ENOSPC:
            throw MachineError("disk full: " + tried,
                               "free some space there and try again; what was accepted before is safe");
        case EDQUOT:
            throw MachineError(
                "disk quota used up: " + tried,
                "free some of your space there and try again; what was accepted before is safe");
        case EACCES:
        case EPERM:
        case EROFS:
            throw MachineError("no right to write: " + tried,
                               "choose another folder with --out, or change the rights of this one");
        default:
            throw MachineError(
                tried, "see that the disk is connected and sound, or choose another folder with --out");
    }
}

}  // namespace isoseam
