#pragma once
// Writes a session folder so that whatever was accepted survives a killed program, a full disk or a power
// failure.
//
//     SessionLog log = SessionLog::create(parent, header, Durability::each_event);
//     log.append(0.0, "session_started", nlohmann::json::object());
//
// A line of settings.jsonl is one JSON object {"number":…,"time_s":…,"event":…,"data":{…},"checksum":"…"} and
// a line feed. The checksum is the first 16 hex digits of SHA-256 over the previous line's checksum (the
// SHA-256 of session.json for the first) followed by this line's bytes up to `,"checksum"`. So a changed,
// missing or swapped line shows.

#include <sys/types.h>

#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "results_schema/session_folder.h"

namespace isoseam {

// The system calls that the log makes, so that tests can let them fail. Each returns what the call of the
// system returns, and sets errno as that does.
struct SystemCalls {
    std::function<ssize_t(int fd, const void* bytes, std::size_t count)> write;
    std::function<int(int fd)> sync;  // fdatasync
    std::function<int(const char* path, int flags, unsigned mode)> open;
    std::function<int(int fd)> sync_folder;  // fsync of a folder, so that the names in it last
    static SystemCalls real();
};

// When lines reach the disk. A line is always written at once, so that a killed process loses nothing.
enum class Durability {
    each_event,   // each line is synced before append() returns: a participant's session
    at_end,       // the log is synced when the session ends
    with_others,  // the log is never synced by itself: rehearsals, which sync_sessions() syncs together
};

// Is told what a log has just written.
class SessionListener {
  public:
    virtual ~SessionListener() = default;
    virtual void hear(const std::string& kind, const nlohmann::json& data) = 0;  // other events than settings
    virtual void hear(const SettingRecord& setting) = 0;
};

class SessionLog {
  public:
    // Makes a new folder "<participant>-<UTC time>[-n]" in `parent`, which is made too if it is missing,
    // fills in header.session, and writes and syncs session.json with the entries of the folders.
    // MachineError names the folder, the system's reason and what to do. InputError: the participant's code
    // is none, or a text is not UTF-8.
    static SessionLog create(const std::string& parent, SessionHeader header, Durability durability,
                             SystemCalls calls = SystemCalls::real());
    // Resumes a session that was interrupted or left, after what read_session_folder() found in it. A torn
    // last line is cut off. InputError: the folder is damaged, or the session is complete. MachineError: as
    // create() throws it, and when another program is writing the folder.
    static SessionLog resume(const SessionFolder& folder, Durability durability,
                             SystemCalls calls = SystemCalls::real());
    SessionLog(SessionLog&&) noexcept;
    SessionLog& operator=(SessionLog&&) noexcept;
    ~SessionLog();

    const std::string& folder() const;
    const SessionHeader& header() const;

    // Appends one line. With Durability::each_event the line is on the disk when the call returns. On failure
    // what was half written is cut off again, and MachineError is thrown. The same event may be written again
    // once there is space.
    void append(double time_s, const std::string& kind, const nlohmann::json& data);
    void append(double time_s, const SettingRecord& setting);  // an event `setting`
    // append() tells the listener of each line from now on. The listener must outlive the log.
    void tell(SessionListener& listener);

    std::uint64_t events_written() const;
    double last_time_s() const;  // the time of the last event; 0 before the first

  private:
    struct Implementation;
    explicit SessionLog(std::unique_ptr<Implementation> implementation);
    std::unique_ptr<Implementation> implementation_;
};

// Brings everything below `parent` to the disk. MachineError on failure.
void sync_sessions(const std::string& parent);

// How many bytes this user may still write where `path`, or its nearest parent that exists, lies.
std::uint64_t free_bytes(const std::string& path);

}  // namespace isoseam
