#pragma once
// Writing that is either done or says why not.

#include <string>
#include <string_view>

#include "results_schema/session_log.h"

namespace isoseam {

inline constexpr unsigned kFolderMode = 0777;  // less the user's umask

// Closes when it goes.
class FileDescriptor {
  public:
    FileDescriptor() = default;
    explicit FileDescriptor(int fd) : fd_(fd) {}
    FileDescriptor(FileDescriptor&& other) noexcept;
    FileDescriptor& operator=(FileDescriptor&& other) noexcept;
    ~FileDescriptor();
    int get() const { return fd_; }  // -1: none

  private:
    int fd_ = -1;
};

// Both give 0 or an errno. Short writes are completed, EINTR repeated.
int write_all(const SystemCalls& calls, int fd, std::string_view bytes);
int sync_file(const SystemCalls& calls, int fd);

// MachineError on failure. A file system that cannot sync folders (EINVAL, as POSIX allows) is taken as it
// is.
void sync_folder(const SystemCalls& calls, const std::string& folder);
// Makes the folder and those above it that are missing, each synced into the one above.
void make_folders(const SystemCalls& calls, const std::string& folder);

// "disk full: cannot write P/settings.jsonl (No space left on device); free some space ..."
[[noreturn]] void throw_machine_error(const std::string& action, const std::string& path, int error);

}  // namespace isoseam
