#pragma once
// Writes a session folder so that whatever was accepted survives anything.
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

#include "results_schema/records.h"
#include "results_schema/session_folder.h"

namespace isoseam {

// The system calls that the log makes, so that tests can let them fail. Each returns and sets errno as the
// system's.
struct SystemCalls {
    std::function<ssize_t(int fd, const void* bytes, std::size_t count)> write;
    std::function<int(int fd)> sync;  // fdatasync
    std::function<int(const char* path, int flags, unsigned mode)> open;
    std::function<int(int fd)> sync_folder;  // fsync of a folder, so that the names in it last
    static SystemCalls real();
};

// When lines reach the disk. Each event: synced before write() returns (a participant's session). At the end:
// written at once, so that a killed process loses nothing, but synced only when the session ends. With the
// others: the same, but never synced by itself, for many sessions that are written at once and then synced
// together (rehearsals; sync_sessions()).
enum class Durability { each_event, at_end, with_others };

// Hears what a log has just written.
class SessionListener {
  public:
    virtual ~SessionListener() = default;
    virtual void hear(const std::string& kind, const nlohmann::json& data) = 0;  // but for settings
    virtual void hear(const SettingRecord& setting) = 0;
};

class SessionLog {
  public:
    // Makes `parent` if need be and in it a new folder "<participant>-<UTC time>[-n]", writes and syncs
    // session.json (folder entries too). header.session is filled in. MachineError (space, rights: names the
    // folder, the system's reason and what to do) or InputError (participant code).
    static SessionLog create(const std::string& parent, SessionHeader header, Durability durability,
                             SystemCalls calls = SystemCalls::real());
    // Goes on with a session that was interrupted or left, after what read_session_folder() found in it; a
    // torn last line is cut off. InputError for a folder that is damaged or complete; MachineError as
    // create(), and when another program is writing it.
    static SessionLog resume(const SessionFolder& folder, Durability durability,
                             SystemCalls calls = SystemCalls::real());
    SessionLog(SessionLog&&) noexcept;
    SessionLog& operator=(SessionLog&&) noexcept;
    ~SessionLog();

    const std::string& folder() const;
    const SessionHeader& header() const;

    // Appends one line; when it returns, the line is on disk (Durability::each_event). Short writes are
    // completed, EINTR repeated. On failure: what was half written is cut off again (ftruncate),
    // MachineError; the same event may be written again once there is space.
    void append(double time_s, const std::string& kind, const nlohmann::json& data);
    void append(double time_s, const SettingRecord& setting);  // an event `setting`
    // Told of each line from now on, by append(). Outlives the log.
    void tell(SessionListener& listener);

    std::uint64_t events_written() const;
    double last_time_s() const;  // of the last event; 0 before the first

  private:
    struct Implementation;
    explicit SessionLog(std::unique_ptr<Implementation> implementation);
    std::unique_ptr<Implementation> implementation_;
};

// Brings everything below `parent` to the disk. MachineError.
void sync_sessions(const std::string& parent);

// Free bytes for this user where `path` (or its nearest existing parent) lies.
std::uint64_t free_bytes(const std::string& path);

}  // namespace isoseam
