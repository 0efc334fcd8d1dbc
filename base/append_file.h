#pragma once
// A file that only grows, line by line, each on disk before append() returns.

#include <sys/types.h>

#include <functional>
#include <string>
#include <string_view>

namespace isoseam {

// The system calls that are made, so that tests can let them fail. Each returns and sets errno as the
// system's.
struct AppendCalls {
    std::function<ssize_t(int fd, const void* bytes, std::size_t count)> write;
    std::function<int(int fd)> sync;  // fdatasync
    static AppendCalls real();
};

class AppendFile {
  public:
    // Opens or makes `path`; the file's first `whole_bytes` bytes are kept, what lies beyond is cut off.
    // Nobody else may have it open through this class (MachineError "another program is measuring into").
    AppendFile(std::string path, off_t whole_bytes, AppendCalls calls);
    AppendFile(AppendFile&& other) noexcept;
    AppendFile& operator=(AppendFile&& other) noexcept;
    ~AppendFile();

    // `line` without its line feed. Short writes are completed, EINTR repeated. On failure what was half
    // written is cut off again and a MachineError names the file, the system's reason and what to do; the
    // same line may be written again.
    void append(std::string_view line);

  private:
    int write_and_sync(std::string_view bytes);
    int cut_off();

    std::string path_;
    AppendCalls calls_;
    int fd_ = -1;
    off_t whole_bytes_ = 0;
    bool torn_ = false;  // what lies beyond whole_bytes_ could not be cut off yet
};

// What to do with a file that is there already.
enum class IfThere { replaced, refused };
// Makes the file appear whole or not at all: written and synced in a new file beside it first, which nobody
// can foretell the name of, then renamed, and the rename synced. 0, or the system's errno; EEXIST where the
// file is there and is not to be replaced.
int try_write_whole_file(const std::string& path, std::string_view text, IfThere if_there);
// The same for a file of a measurement's folder, which is replaced. Throws MachineError where that fails.
void write_whole_file(const std::string& path, std::string_view text);
// Syncs the folder's entries, and throws MachineError where that fails. A file system that cannot do so
// (EINVAL) is accepted.
void sync_entries(const std::string& folder);

}  // namespace isoseam
