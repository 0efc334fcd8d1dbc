#include "base/append_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <random>
#include <system_error>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr unsigned kFileMode = 0666;  // less the user's umask

[[noreturn]] void fail(const std::string& action, const std::string& path, int error) {
    const std::string tried =
        fmt::format("cannot {} {} ({})", action, path, std::generic_category().message(error));
    if (error == ENOSPC || error == EDQUOT) {
        throw MachineError(
            "disk full: " + tried,
            "free some space there and go on with --resume; every reading kept before is safe");
    }
    if (error == EACCES || error == EPERM || error == EROFS) {
        throw MachineError("no right to write: " + tried,
                           "choose another folder with --out, or change the rights of this one");
    }
    throw MachineError(tried, "see that the disk is connected and sound, then go on with --resume");
}

int write_all(const AppendCalls& calls, int fd, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t written = calls.write(fd, bytes.data(), bytes.size());
        if (written > 0)
            bytes.remove_prefix(static_cast<std::size_t>(written));
        else if (written == 0)
            return EIO;  // nothing taken and no reason given
        else if (errno != EINTR)
            return errno;
    }
    return 0;
}

template <class Call>
int repeated(Call call) {
    int result = 0;
    do {
        result = call();
    } while (result != 0 && errno == EINTR);
    return result == 0 ? 0 : errno;
}

int try_sync_entries(const std::string& folder) {
    const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return errno;
    const int error = repeated([&] { return ::fsync(fd); });
    ::close(fd);
    return error == EINVAL ? 0 : error;
}

int moved(const std::string& from, const std::string& to, IfThere if_there) {
    if (if_there == IfThere::replaced)
        return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
    if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0)
        return 0;
    if (errno != EINVAL && errno != ENOSYS)
        return errno;
    // A file system that cannot refuse by itself. Another program may still be quicker.
    if (::access(to.c_str(), F_OK) == 0)
        return EEXIST;
    return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
}

}  // namespace

AppendCalls AppendCalls::real() {
    return {[](int fd, const void* bytes, std::size_t count) { return ::write(fd, bytes, count); },
            [](int fd) { return ::fdatasync(fd); }};
}

AppendFile::AppendFile(std::string path, off_t whole_bytes, AppendCalls calls)
    : path_(std::move(path)), calls_(std::move(calls)), whole_bytes_(whole_bytes) {
    fd_ = ::open(path_.c_str(), O_CREAT | O_WRONLY | O_APPEND | O_CLOEXEC, kFileMode);
    if (fd_ < 0)
        fail("open", path_, errno);
    if (::flock(fd_, LOCK_EX | LOCK_NB) != 0) {
        ::close(std::exchange(fd_, -1));
        throw MachineError(fmt::format("another program is measuring into {}", path_),
                           "let it end, or stop it, and try again");
    }
    const int error = cut_off();
    if (error != 0) {
        ::close(std::exchange(fd_, -1));
        fail("cut the torn end off", path_, error);
    }
}

AppendFile::AppendFile(AppendFile&& other) noexcept
    : path_(std::move(other.path_)),
      calls_(std::move(other.calls_)),
      fd_(std::exchange(other.fd_, -1)),
      whole_bytes_(other.whole_bytes_),
      torn_(other.torn_) {}

AppendFile& AppendFile::operator=(AppendFile&& other) noexcept {
    std::swap(path_, other.path_);
    std::swap(calls_, other.calls_);
    std::swap(fd_, other.fd_);
    std::swap(whole_bytes_, other.whole_bytes_);
    std::swap(torn_, other.torn_);
    return *this;
}

AppendFile::~AppendFile() {
    if (fd_ >= 0)
        ::close(fd_);
}

int AppendFile::cut_off() {
    const int error = repeated([&] { return ::ftruncate(fd_, whole_bytes_); });
    torn_ = error != 0;
    return error;
}

int AppendFile::write_and_sync(std::string_view bytes) {
    if (torn_) {
        const int error = cut_off();
        if (error != 0)
            return error;
    }
    int error = write_all(calls_, fd_, bytes);
    if (error == 0)
        error = repeated([&] { return calls_.sync(fd_); });
    if (error != 0)
        cut_off();
    return error;
}

void AppendFile::append(std::string_view line) {
    const std::string bytes = fmt::format("{}\n", line);
    const int error = write_and_sync(bytes);
    if (error != 0)
        fail("write", path_, error);
    whole_bytes_ += static_cast<off_t>(bytes.size());
}

void sync_entries(const std::string& folder) {
    const int error = try_sync_entries(folder);
    if (error != 0)
        fail("sync the folder", folder, error);
}

int try_write_whole_file(const std::string& path, std::string_view text, IfThere if_there) {
    const std::filesystem::path parent = std::filesystem::path(path).parent_path();
    const std::string folder = parent.empty() ? "." : parent.string();
    std::random_device random;
    const std::string part = fmt::format("{}/.{:08x}{:08x}{:08x}.part", folder, random(), random(), random());
    const int fd = ::open(part.c_str(), O_CREAT | O_EXCL | O_NOFOLLOW | O_WRONLY | O_CLOEXEC, kFileMode);
    if (fd < 0)
        return errno;
    int error = write_all(AppendCalls::real(), fd, text);
    if (error == 0)
        error = repeated([&] { return ::fdatasync(fd); });
    if (::close(fd) != 0 && error == 0)
        error = errno;
    if (error == 0)
        error = moved(part, path, if_there);
    if (error != 0) {
        ::unlink(part.c_str());
        return error;
    }
    // A folder that may be written to and not read cannot be opened for a sync; the file is there all the
    // same.
    error = try_sync_entries(folder);
    return error == EACCES ? 0 : error;
}

void write_whole_file(const std::string& path, std::string_view text) {
    const int error = try_write_whole_file(path, text, IfThere::replaced);
    if (error != 0)
        fail("write", path, error);
}

}  // namespace isoseam
