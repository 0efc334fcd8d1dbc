#pragma once
// Writing to the disk that is either done or says why not.
//
//     const int error = write_all(calls, file.get(), text);
//     if (error != 0) throw_machine_error("write", path, error);

#include <string>
#include <string_view>

#include "results_schema/session_log.h"

namespace isoseam {

inline constexpr unsigned kFolderMode = 0777;  // the user's umask is taken away from it

// Closes its file when it is destroyed.
class FileDescriptor {
  public:
    FileDescriptor() = default;
    explicit FileDescriptor(int fd) : fd_(fd) {}
    FileDescriptor(FileDescriptor&& other) noexcept;
    FileDescriptor& operator=(FileDescriptor&& other) noexcept;
    ~FileDescriptor();
    int get() const { return fd_; }  // -1 where there is no file

  private:
    int fd_ = -1;
};

// Both return 0 or an errno. A short write is completed, and a call that a signal interrupted (EINTR) is
// repeated.
int write_all(const SystemCalls& calls, int fd, std::string_view bytes);
int sync_file(const SystemCalls& calls, int fd);

// MachineError on failure. It is no failure that a file system cannot sync folders (EINVAL, as POSIX allows).
void sync_folder(const SystemCalls& calls, const std::string& folder);
// Makes the folder, and those above it that are missing. Each is synced into the one above it.
void make_folders(const SystemCalls& calls, const std::string& folder);

// Throws, for example, "disk full: cannot write P/settings.jsonl (No space left on device); free some space
// ...".
[[noreturn]] void throw_machine_error(const std::string& action, const std::string& path, int error);

}  // namespace isoseam
