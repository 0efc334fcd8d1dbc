#include "results_schema/session_log.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/errors.h"
#include "results_schema/disk.h"
#include "results_schema/log_line.h"
#include "results_schema/schema_check.h"
#include "results_schema/sha256.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

constexpr unsigned kFileMode = 0666;  // the user's umask is taken away from it
constexpr int kMostSessionsPerSecond = 10000;

// Turns "2026-11-25T16:03:12.345Z" into "20261125T160312Z".
std::string compact_time(const std::string& started_utc) {
    std::string compact;
    for (const char c : started_utc.substr(0, started_utc.find_first_of(".Z"))) {
        if (c != '-' && c != ':') {
            compact += c;
        }
    }
    return compact + "Z";
}

void require_utf8(const StoredText& stored) {
    try {
        static_cast<void>(nlohmann::json(stored.text).dump());
    } catch (const nlohmann::json::type_error&) {
        throw InputError(Fault{stored.file, 0, 0, "", "is not UTF-8 text", "save it as UTF-8"});
    }
}

void require_storable(const SessionHeader& header) {
    if (!is_participant_code(header.participant)) {
        throw InputError(
            "participant", fmt::format("'{}' is not a participant code", header.participant),
            "write 1 to 32 letters (A to Z), digits, '-' or '_', and nothing that identifies a person");
    }
    require_utf8(header.protocol);
    for (const auto& [sha256, calibration] : header.calibrations) {
        require_utf8(calibration);
    }
    for (const auto& [path, file] : header.files) {
        require_utf8(file);
    }
}

// Two sessions never share a folder. Fills in header.session.
std::string make_session_folder(const std::string& parent, SessionHeader& header) {
    const std::string name = fmt::format("{}-{}", header.participant, compact_time(header.started_utc));
    for (int n = 1; n <= kMostSessionsPerSecond; ++n) {
        header.session = n == 1 ? name : fmt::format("{}-{}", name, n);
        std::string folder = fs::path(parent) / header.session;
        if (::mkdir(folder.c_str(), kFolderMode) == 0) {
            return folder;
        }
        if (errno != EEXIST) {
            throw_machine_error("make the folder", folder, errno);
        }
    }
    throw_machine_error("make the folder", fs::path(parent) / name, EEXIST);
}

// session.json appears whole or not at all: it is written and synced under another name first.
void write_header(const SystemCalls& calls, const std::string& folder, const std::string& text, bool sync) {
    const std::string part = folder + "/session.json.part";
    const std::string path = folder + "/session.json";
    FileDescriptor file(calls.open(part.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, kFileMode));
    int error = file.get() < 0 ? errno : write_all(calls, file.get(), text);
    if (error == 0 && sync) {
        error = sync_file(calls, file.get());
    }
    if (error == 0 && ::rename(part.c_str(), path.c_str()) != 0) {
        error = errno;
    }
    if (error != 0) {
        throw_machine_error("write", path, error);
    }
}

void remove_session_folder(const std::string& folder) {
    for (const char* name : {"/session.json.part", "/session.json", "/settings.jsonl"}) {
        ::unlink((folder + name).c_str());
    }
    ::rmdir(folder.c_str());
}

}  // namespace

struct SessionLog::Implementation {
    SystemCalls calls;
    Durability durability = Durability::each_event;
    std::string folder;
    std::string path;  // the path of settings.jsonl
    SessionHeader header;
    FileDescriptor file;
    off_t whole_bytes = 0;  // length of the lines that are complete
    bool torn = false;      // what lies beyond whole_bytes could not be cut off yet
    bool ended = false;
    std::uint64_t events = 0;
    double last_time_s = 0.0;
    std::string checksum;  // the checksum of the last line
    SessionListener* listener = nullptr;

    Implementation() = default;
    Implementation(const Implementation&) = delete;
    Implementation& operator=(const Implementation&) = delete;
    ~Implementation() {
        if (file.get() >= 0 && durability == Durability::at_end && !ended) {
            static_cast<void>(sync_file(calls, file.get()));
        }
    }

    // Opens settings.jsonl before session.json is there, so that a folder with a header always has a log.
    void fill_folder(const std::string& parent) {
        const nlohmann::json json = to_json(header);
        const std::string text = json.dump(2) + "\n";
        const std::vector<SchemaFault> faults = schema_faults(SchemaPart::session, json);
        ISOSEAM_CHECK(faults.empty(), faults.front().pointer + ": " + faults.front().what);
        file = FileDescriptor(
            calls.open(path.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_APPEND | O_CLOEXEC, kFileMode));
        if (file.get() < 0) {
            throw_machine_error("make", path, errno);
        }
        lock();
        const bool sync = durability != Durability::with_others;
        write_header(calls, folder, text, sync);
        if (sync) {
            sync_folder(calls, folder);
            sync_folder(calls, parent);
        }
        checksum = sha256_hex(text);
    }

    // Two programs never write one folder. Closing the file ends the lock.
    void lock() const {
        if (::flock(file.get(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) {
            throw MachineError(fmt::format("another program is writing the session '{}'", folder),
                               "end that one first");
        }
    }

    // What was read must still be there: the chain continues from the checksum of the last line.
    void find_end(const SessionFolder& read) {
        const off_t length = ::lseek(file.get(), 0, SEEK_END);
        whole_bytes = length - static_cast<off_t>(read.torn_bytes);
        events = read.events.size();
        last_time_s = read.events.empty() ? 0.0 : read.events.back().time_s;
        std::string text(static_cast<std::size_t>(std::max<off_t>(whole_bytes, 0)), '\0');
        const ssize_t got = ::pread(file.get(), text.data(), text.size(), 0);
        if (length < 0 || got != whole_bytes) {
            throw_machine_error("read", path, errno);
        }
        if (text.empty()) {
            std::ifstream header_file(folder + "/session.json", std::ios::binary);
            checksum = sha256_hex(std::string(std::istreambuf_iterator<char>(header_file), {}));
        } else {
            text.pop_back();
            const std::size_t before = text.find_last_of('\n');
            const std::optional<LineParts> last =
                split_line(std::string_view(text).substr(before == std::string::npos ? 0 : before + 1));
            ISOSEAM_CHECK(last.has_value(), path);
            checksum = std::string(last->checksum);
        }
        torn = read.torn_bytes > 0;
    }

    int cut_off() {
        int result = 0;
        do {
            result = ::ftruncate(file.get(), whole_bytes);
        } while (result != 0 && errno == EINTR);
        torn = result != 0;
        return torn ? errno : 0;
    }

    int write_line(const std::string& text, bool sync) {
        if (torn) {
            const int error = cut_off();
            if (error != 0) {
                return error;
            }
        }
        int error = write_all(calls, file.get(), text);
        if (error == 0 && sync) {
            error = sync_file(calls, file.get());
        }
        if (error != 0) {
            cut_off();
        }
        return error;
    }

    void append(double time_s, const std::string& kind, const std::string& data) {
        ISOSEAM_CHECK(!ended, fmt::format("'{}' after session_ended", kind));
        ISOSEAM_CHECK((kind == "session_started") == (events == 0),
                      fmt::format("'{}' is event {}", kind, events + 1));
        const SealedLine line = seal_line(events + 1, time_s, kind, data, checksum);
        const bool last = kind == "session_ended";
        const bool sync = durability == Durability::each_event || (last && durability == Durability::at_end);
        const int error = write_line(line.text, sync);
        if (error != 0) {
            throw_machine_error("write", path, error);
        }
        whole_bytes += static_cast<off_t>(line.text.size());
        checksum = line.checksum;
        events += 1;
        last_time_s = time_s;
        ended = last;
    }
};

SystemCalls SystemCalls::real() {
    return {.write = [](int fd, const void* bytes, std::size_t count) { return ::write(fd, bytes, count); },
            .sync = [](int fd) { return ::fdatasync(fd); },
            .open = [](const char* path, int flags, unsigned mode) { return ::open(path, flags, mode); },
            .sync_folder = [](int fd) { return ::fsync(fd); }};
}

SessionLog::SessionLog(std::unique_ptr<Implementation> implementation)
    : implementation_(std::move(implementation)) {}
SessionLog::SessionLog(SessionLog&&) noexcept = default;
SessionLog& SessionLog::operator=(SessionLog&&) noexcept = default;
SessionLog::~SessionLog() = default;

SessionLog SessionLog::create(const std::string& parent, SessionHeader header, Durability durability,
                              SystemCalls calls) {
    require_storable(header);
    const std::string parent_folder = parent.empty() ? "." : parent;
    auto made = std::make_unique<Implementation>();
    made->calls = std::move(calls);
    made->durability = durability;
    make_folders(made->calls, parent_folder);
    made->folder = make_session_folder(parent_folder, header);
    made->path = made->folder + "/settings.jsonl";
    made->header = std::move(header);
    try {
        made->fill_folder(parent_folder);
    } catch (...) {
        remove_session_folder(made->folder);
        throw;
    }
    return SessionLog(std::move(made));
}

SessionLog SessionLog::resume(const SessionFolder& folder, Durability durability, SystemCalls calls) {
    if (folder.state == SessionState::damaged) {
        throw InputError(folder.faults);
    }
    if (folder.state == SessionState::complete) {
        throw InputError(Fault{folder.folder, 0, 0, "",
                               "this session is complete: there is nothing to go on with",
                               "begin a new one: isoseam session run"});
    }
    auto made = std::make_unique<Implementation>();
    made->calls = std::move(calls);
    made->durability = durability;
    made->folder = folder.folder;
    made->path = folder.folder + "/settings.jsonl";
    made->header = folder.header;
    made->file =
        FileDescriptor(made->calls.open(made->path.c_str(), O_RDWR | O_APPEND | O_CLOEXEC, kFileMode));
    if (made->file.get() < 0) {
        throw_machine_error("open", made->path, errno);
    }
    made->lock();
    made->find_end(folder);
    return SessionLog(std::move(made));
}

const std::string& SessionLog::folder() const {
    return implementation_->folder;
}

const SessionHeader& SessionLog::header() const {
    return implementation_->header;
}

std::uint64_t SessionLog::events_written() const {
    return implementation_->events;
}

double SessionLog::last_time_s() const {
    return implementation_->last_time_s;
}

void SessionLog::append(double time_s, const std::string& kind, const nlohmann::json& data) {
    implementation_->append(time_s, kind, data_text(data));
    if (implementation_->listener != nullptr) {
        implementation_->listener->hear(kind, data);
    }
}

void SessionLog::append(double time_s, const SettingRecord& setting) {
    implementation_->append(time_s, "setting", json_text(setting));
    if (implementation_->listener != nullptr) {
        implementation_->listener->hear(setting);
    }
}

void SessionLog::tell(SessionListener& listener) {
    implementation_->listener = &listener;
}

void sync_sessions(const std::string& parent) {
    const FileDescriptor folder(::open(parent.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (folder.get() < 0 || ::syncfs(folder.get()) != 0) {
        throw_machine_error("sync the folder", parent, errno);
    }
}

}  // namespace isoseam
