#include "results_schema/session_folder.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>

#include "results_schema/contradictions.h"
#include "results_schema/log_line.h"
#include "results_schema/schema_check.h"
#include "results_schema/sha256.h"
#include "results_schema/written_line.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLeastBytesOfASetting = 512;  // length of its line; about 1700 are usual

constexpr const char* kRestore = "restore the file from a copy; the lines before the fault can be used";

std::optional<std::string> read_file(const fs::path& path) {
    std::error_code error;
    const std::uintmax_t size = fs::file_size(path, error);  // an error unless it is a file
    std::ifstream in(path, std::ios::binary);
    if (error || !in) {
        return std::nullopt;
    }
    std::string bytes(size, '\0');
    in.read(bytes.data(), static_cast<std::streamsize>(size));
    // The text is shorter if somebody is cutting the file off just now.
    bytes.resize(static_cast<std::size_t>(in.gcount()));
    if (in.bad()) {
        return std::nullopt;
    }
    return bytes;
}

// Why a newer version cannot be read. There is no fault when the version is ours, or so wrong that the schema
// will report it.
std::optional<Fault> version_fault(const nlohmann::json& json) {
    const auto version = json.find("results_version");
    if (version == json.end() || !version->is_number_integer() || *version <= kResultsVersion) {
        return std::nullopt;
    }
    const auto program = json.find("program_version");
    const std::string writer =
        program != json.end() && program->is_string() ? program->get<std::string>() : "(unknown)";
    return Fault{
        "",
        0,
        0,
        "/results_version",
        fmt::format(
            "written by a newer version of the program: results version {}, and this one reads version {}",
            version->dump(), kResultsVersion),
        fmt::format("use isoseam {} or newer", writer)};
}

class Reader {
  public:
    Reader(SessionFolder& result, ReadFor wanted) : result_(result), wanted_(wanted) {}

    void read() {
        read_header();
        if (result_.header_ok) {
            read_log();
        }
        settle_state();
    }

  private:
    std::string path(const char* name) const { return (fs::path(result_.folder) / name).string(); }

    void add_fault(const char* file, int line, std::string found, std::string remedy, std::string key = {}) {
        result_.faults.push_back({path(file), line, 0, std::move(key), std::move(found), std::move(remedy)});
    }

    void read_header() {
        const std::optional<std::string> text = read_file(path("session.json"));
        if (!text) {
            add_fault("session.json", 0, "is missing or cannot be read",
                      "name a session folder; if the program was stopped while it made this one, nothing had "
                      "been measured");
            return;
        }
        result_.header_sha256 = sha256_hex(*text);
        try {
            accept_header(nlohmann::json::parse(*text));
        } catch (const nlohmann::json::exception& error) {
            add_fault("session.json", 0, fmt::format("is not JSON: {}", error.what()),
                      "restore the file from a copy");
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults()) {
                add_fault("session.json", 0, fault.found, fault.remedy, fault.key);
            }
        }
    }

    void accept_header(const nlohmann::json& json) {
        if (const std::optional<Fault> fault = version_fault(json)) {
            throw InputError(*fault);
        }
        result_.header = session_header_from_json(json);
        const std::string wrong = contradiction(result_.header);
        if (!wrong.empty()) {
            throw InputError(wrong, "restore the file from a copy");
        }
        result_.header_ok = true;
    }

    void read_log() {
        const std::optional<std::string> text = read_file(path("settings.jsonl"));
        if (!text) {
            add_fault("settings.jsonl", 0, "is missing or cannot be read", "restore the file from a copy");
            return;
        }
        const auto planned = static_cast<std::size_t>(result_.header.planned_settings);
        result_.settings.reserve(std::min(planned, text->size() / kLeastBytesOfASetting));
        std::string_view previous = result_.header_sha256;
        std::string_view rest = *text;
        for (int line_number = 1; !rest.empty(); ++line_number) {
            const std::size_t end = rest.find('\n');
            if (end == std::string_view::npos) {
                read_torn_line(rest, line_number);
                return;
            }
            read_line(rest.substr(0, end), line_number, previous);
            rest.remove_prefix(end + 1);
        }
    }

    void read_torn_line(std::string_view bytes, int line_number) {
        result_.torn_bytes = bytes.size();
        if (ended_) {
            add_fault("settings.jsonl", line_number, "bytes after session_ended, which is the last line",
                      kRestore);
        }
    }

    // `previous` becomes the checksum that the line states, so that one changed line is one fault.
    void read_line(std::string_view line, int line_number, std::string_view& previous) {
        const std::optional<LineParts> parts = split_line(line);
        if (!parts) {
            add_fault("settings.jsonl", line_number, "the line does not end with its checksum", kRestore);
            previous = {};
            return;
        }
        // After a line whose own checksum is lost there is nothing to hold the next one against.
        const bool sound = previous.empty() || checksum_fits(previous, parts->body, parts->checksum);
        previous = parts->checksum;
        if (sound && wanted_ != ReadFor::everything && accept_quickly(parts->body, line_number)) {
            return;
        }
        const nlohmann::json json = nlohmann::json::parse(line, nullptr, false);
        if (!sound) {
            add_fault("settings.jsonl", line_number, broken_chain(json, line_number), kRestore);
        } else if (json.is_discarded()) {
            add_fault("settings.jsonl", line_number, "is not JSON", kRestore);
        } else {
            accept_line(json, line_number);
        }
    }

    // Whether the line has the form in which the program writes it, and stands in its place. Any other line
    // is for accept_line().
    bool accept_quickly(std::string_view body, int line_number) {
        std::optional<WrittenLine> line = read_written_line(body);
        if (!line || line->number != static_cast<std::uint64_t>(line_number) || line_number == 1 || ended_) {
            return false;
        }
        const auto* passing = std::get_if<PassingEvent>(&line->event);
        if (passing != nullptr && !passing->trial_started && wanted_ == ReadFor::study) {
            return false;
        }
        std::string wrong;
        if (auto* setting = std::get_if<SettingRecord>(&line->event)) {
            wrong = accept_setting(std::move(*setting));
        } else if (auto* answer = std::get_if<AnswerRecord>(&line->event)) {
            wrong = accept_answer(std::move(*answer));
        }
        settle_line(line_number, std::move(wrong));
        return true;
    }

    // Whether the event of this line is among those before the first fault.
    bool settle_line(int line_number, std::string wrong) {
        if (!wrong.empty()) {
            add_fault("settings.jsonl", line_number, std::move(wrong), kRestore);
        }
        if (!result_.faults.empty()) {
            return false;
        }
        ++result_.event_count;
        return true;
    }

    static std::string broken_chain(const nlohmann::json& json, int line_number) {
        const bool has_number =
            json.is_object() && json.contains("number") && json["number"].is_number_unsigned();
        if (has_number && json["number"] != line_number) {
            return fmt::format("holds event {} where event {} is due: a line was removed, doubled or moved",
                               json["number"].dump(), line_number);
        }
        return fmt::format("the checksum does not fit: {} was changed after it was written",
                           line_number == 1 ? "session.json or this line" : "this line");
    }

    void accept_line(const nlohmann::json& json, int line_number) {
        const std::vector<SchemaFault> schema = schema_faults(SchemaPart::line, json);
        for (const SchemaFault& fault : schema) {
            add_fault("settings.jsonl", line_number, fault.what,
                      "a line must follow schema/settings.schema.json", fault.pointer);
        }
        if (!schema.empty()) {
            return;
        }
        const Event event{json["number"].get<std::uint64_t>(), json["time_s"].get<double>(),
                          json["event"].get<std::string>(), json["data"]};
        if (settle_line(line_number, accept_event(event, line_number)) && is_wanted(event)) {
            result_.events.push_back(event);
        }
    }

    bool is_wanted(const Event& event) const {
        const bool many = event.kind == "setting" || event.kind == "answer" || event.kind == "trial_started";
        return wanted_ == ReadFor::everything || (wanted_ == ReadFor::study && !many);
    }

    // Returns what is wrong with the event at this place, or "".
    std::string accept_event(const Event& event, int line_number) {
        if (event.number != static_cast<std::uint64_t>(line_number)) {
            return fmt::format("holds event {} where event {} is due", event.number, line_number);
        }
        const bool goes_on = event.kind == "session_resumed" && !finished_;
        if (ended_ && !goes_on) {
            return fmt::format("'{}' after session_ended, which is the last line", event.kind);
        }
        if (goes_on) {
            ended_ = false;
        }
        if ((event.kind == "session_started") != (line_number == 1)) {
            return fmt::format("'{}' on line {}; session_started, and nothing else, stands on line 1",
                               event.kind, line_number);
        }
        if (event.kind == "setting") {
            return accept_setting(setting_from_json(event.data));
        }
        if (event.kind == "answer") {
            return accept_answer(answer_from_json(event.data));
        }
        if (event.kind == "session_ended") {
            ended_ = true;
            finished_ = event.data["reason"] == "finished";
            if (result_.faults.empty() && event.data["settings"] != result_.settings.size()) {
                return fmt::format("session_ended counts {} settings, and the file holds {}",
                                   event.data["settings"].dump(), result_.settings.size());
            }
            if (result_.faults.empty() &&
                event.data.value("answers", result_.answers.size()) != result_.answers.size()) {
                return fmt::format("session_ended counts {} answers, and the file holds {}",
                                   event.data["answers"].dump(), result_.answers.size());
            }
        }
        return {};
    }

    std::string accept_setting(SettingRecord&& setting) {
        // In a lecture a scene may come again.
        if (result_.header.kind != "lecture" && result_.answers.empty() &&
            setting.trial > result_.header.planned_settings) {
            return fmt::format("trial {} of {} planned settings", setting.trial,
                               result_.header.planned_settings);
        }
        return accept_trial(std::move(setting), "settings", result_.settings);
    }

    std::string accept_answer(AnswerRecord&& answer) {
        return accept_trial(std::move(answer), "answers", result_.answers);
    }

    // The schema keeps trials within 1 and 1000000.
    bool came_before(int trial) {
        const auto place = static_cast<std::size_t>(trial);
        if (place >= trials_.size()) {
            trials_.resize(std::max(place + 1, 2 * trials_.size()));
        }
        const bool came = trials_[place];
        trials_[place] = true;
        return came;
    }

    template <class Record>
    std::string accept_trial(Record&& record, const char* what, std::vector<Record>& records) {
        std::string wrong = contradiction(record);
        if (wrong.empty() && came_before(record.trial)) {
            wrong = fmt::format("trial {} has two {}", record.trial, what);
        }
        if (wrong.empty() && result_.faults.empty()) {
            records.push_back(std::move(record));
        }
        return wrong;
    }

    void settle_state() {
        if (!result_.faults.empty()) {
            result_.state = SessionState::damaged;
        } else if (!ended_) {
            result_.state = SessionState::interrupted;
        } else {
            result_.state = finished_ ? SessionState::complete : SessionState::left_early;
        }
    }

    SessionFolder& result_;
    ReadFor wanted_;
    std::vector<bool> trials_;  // for each number whether there is a record
    bool ended_ = false;
    bool finished_ = false;
};

}  // namespace

std::string to_string(SessionState state) {
    static constexpr std::array<const char*, 4> kWords{"complete", "left early", "interrupted", "damaged"};
    return kWords.at(static_cast<std::size_t>(state));
}

SessionFolder read_session_folder(const std::string& folder, ReadFor wanted) {
    require_session_folders({folder});
    SessionFolder result;
    result.folder = folder;
    Reader(result, wanted).read();
    return result;
}

void require_session_folders(const std::vector<std::string>& folders) {
    std::vector<Fault> faults;
    for (const std::string& folder : folders) {
        std::error_code ignored;
        if (!fs::is_directory(folder, ignored)) {
            faults.push_back({folder, 0, 0, "",
                              fs::exists(folder, ignored) ? "is a file, not a session folder"
                                                          : "there is no such session folder",
                              "name a folder that isoseam session run or rehearse has made"});
        }
    }
    throw_if_any(faults);
}

}  // namespace isoseam
