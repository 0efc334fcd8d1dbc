#include "calibration/measuring/measuring_log.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <system_error>

#include "base/errors.h"
#include "base/yaml_reader.h"
#include "calibration/measuring/measuring_json.h"

namespace isoseam {
namespace {

namespace fs = std::filesystem;

constexpr const char* kLogName = "measurement.jsonl";
constexpr std::string_view kBeforeCheck = R"(,"check":")";
constexpr std::string_view kAfterCheck = R"("})";
constexpr std::size_t kCheckDigits = 16;
constexpr int kMostFoldersPerSecond = 1000;

// FNV-1a, 64 bits: shows a line that was changed, lost or swapped by accident.
std::string check_of(std::string_view previous, std::string_view body) {
    std::uint64_t hash = 0xcbf29ce484222325U;
    for (const std::string_view part : {previous, body}) {
        for (const char c : part) {
            hash ^= static_cast<unsigned char>(c);
            hash *= 0x100000001b3U;
        }
    }
    return fmt::format("{:016x}", hash);
}

std::string plan_digest(const PlanOptions& options) {
    return check_of("", plan_text(make_plan(options)));
}

// A JSON object's text with the check of itself and of all before it.
std::string sealed(const nlohmann::json& object, std::string& checksum) {
    std::string body = object.dump();
    body.pop_back();  // its closing brace
    checksum = check_of(checksum, body);
    return fmt::format("{}{}{}{}", body, kBeforeCheck, checksum, kAfterCheck);
}

std::string log_path(const std::string& folder) {
    return (fs::path(folder) / kLogName).string();
}

// "2026-11-25T16:03:12Z" -> "20261125T160312Z"
std::string compact_time(const std::string& utc) {
    std::string compact;
    for (const char c : utc) {
        if (c != '-' && c != ':')
            compact += c;
    }
    return compact;
}

std::string make_folder(const std::string& parent, const MeasurementHeader& header) {
    std::error_code error;
    fs::create_directories(parent, error);
    const std::string name =
        fmt::format("{}-{}", plan_kind_word(header.plan.kind), compact_time(header.started_utc));
    for (int n = 1; n <= kMostFoldersPerSecond && !error; ++n) {
        std::string folder = (fs::path(parent) / (n == 1 ? name : fmt::format("{}-{}", name, n))).string();
        if (::mkdir(folder.c_str(), 0777) == 0)
            return folder;
        if (errno != EEXIST)
            error = std::error_code(errno, std::generic_category());
    }
    throw MachineError(
        fmt::format("cannot make a folder for the measurement in {} ({})", parent, error.message()),
        "choose another folder with --out");
}

// Reads a log line by line.
class LogReader {
  public:
    LogReader(std::string path, const std::string& text) : path_(std::move(path)), text_(text) {}

    void read() {
        for (std::size_t begin = 0; begin < text_.size();) {
            const std::size_t end = text_.find('\n', begin);
            const std::string_view line = std::string_view(text_).substr(begin, end - begin);
            // This line was being written when the power failed: nobody had been told that it was kept.
            const bool torn = end == std::string::npos || line.find('\0') != std::string_view::npos;
            if (torn)
                return;
            ++line_;
            read_line(line);
            begin = end + 1;
            whole_bytes = begin;
        }
    }

    std::optional<MeasurementHeader> header;
    MeasuringState state;
    std::size_t whole_bytes = 0;
    std::string checksum;

    [[noreturn]] void refuse(std::string found, std::string remedy) const {
        throw InputError(Fault{path_, line_, 0, "", std::move(found), std::move(remedy)});
    }

  private:
    void read_line(std::string_view line) {
        constexpr const char* kRestore = "restore the file from a copy, or begin a new measurement";
        const std::size_t tail = kBeforeCheck.size() + kCheckDigits + kAfterCheck.size();
        if (line.size() <= tail || !line.substr(line.size() - tail).starts_with(kBeforeCheck))
            refuse("is no line of a measurement", kRestore);
        const std::string_view body = line.substr(0, line.size() - tail);
        checksum = check_of(checksum, body);
        if (line.substr(line.size() - tail + kBeforeCheck.size(), kCheckDigits) != checksum)
            refuse("was changed since it was written", kRestore);
        try {
            const nlohmann::json json = nlohmann::json::parse(line);
            header ? take_event(json) : take_header(json);
        } catch (const nlohmann::json::exception& error) {
            refuse(fmt::format("cannot be understood: {}", error.what()), kRestore);
        }
    }

    void take_header(const nlohmann::json& json) {
        const int version = json.at("measurement_version").get<int>();
        if (version != kMeasurementVersion) {
            refuse(fmt::format("measurement version {}, and this program reads version {}", version,
                               kMeasurementVersion),
                   "go on with the version of isoseam that began it");
        }
        header = header_from_json(json);
        if (json.at("plan_digest").get<std::string>() != plan_digest(header->plan)) {
            refuse(fmt::format("isoseam {} made another plan of the same options than this program does",
                               header->program_version),
                   "go on with that version, or begin a new measurement");
        }
        state = measuring_begun(make_plan(header->plan));
    }

    void take_event(const nlohmann::json& json) {
        const MeasuringEvent event = event_from_json(json, state.wavelengths_nm);
        state = after(std::move(state), event);
    }

    std::string path_;
    const std::string& text_;
    int line_ = 0;
};

}  // namespace

std::vector<std::string> changes_since(const MeasurementHeader& then, const MeasurementHeader& now) {
    std::vector<std::string> changes;
    const auto compare = [&](const char* what, const auto& was, const auto& is) {
        if (was != is)
            changes.push_back(fmt::format("{}: was {}, is now {}", what, was, is));
    };
    if (plan_text(make_plan(then.plan)) != plan_text(make_plan(now.plan)))
        changes.push_back(fmt::format(
            "plan: was '{}' with seed {}, is now '{}' with seed {}{}", plan_kind_word(then.plan.kind),
            then.plan.seed, plan_kind_word(now.plan.kind), now.plan.seed,
            then.plan.kind == now.plan.kind && then.plan.seed == now.plan.seed ? ", with other options"
                                                                               : ""));
    compare("screen", fmt::format("{} ('{}')", then.screen.index, then.screen.name),
            fmt::format("{} ('{}')", now.screen.index, now.screen.name));
    compare("resolution", fmt::format("{} x {}", then.screen.width_px, then.screen.height_px),
            fmt::format("{} x {}", now.screen.width_px, now.screen.height_px));
    compare("refresh rate", fmt::format("{:g} Hz", then.screen.refresh_hz),
            fmt::format("{:g} Hz", now.screen.refresh_hz));
    compare("bits of the frame buffer", then.screen.bits, now.screen.bits);
    compare("instrument", then.instrument.description, now.instrument.description);
    compare("unit", unit_text(then.instrument.unit), unit_text(now.instrument.unit));
    return changes;
}

MeasuringLog::MeasuringLog(std::string folder, MeasurementHeader header, MeasuringState state,
                           AppendFile file, std::string checksum)
    : folder_(std::move(folder)),
      header_(std::move(header)),
      state_(std::move(state)),
      file_(std::move(file)),
      checksum_(std::move(checksum)) {}

MeasuringLog MeasuringLog::create(const std::string& parent, const MeasurementHeader& header,
                                  AppendCalls calls) {
    MeasuringState state = measuring_begun(make_plan(header.plan));
    const std::string where = parent.empty() ? "." : parent;
    const std::string folder = make_folder(where, header);
    AppendFile file(log_path(folder), 0, std::move(calls));
    nlohmann::json first = to_json(header);
    first["plan_digest"] = plan_digest(header.plan);
    std::string checksum;
    file.append(sealed(first, checksum));
    sync_entries(folder);
    sync_entries(where);
    return {folder, header, std::move(state), std::move(file), std::move(checksum)};
}

MeasuringLog MeasuringLog::resume(const std::string& folder, AppendCalls calls) {
    const std::string path = log_path(folder);
    const std::string text = read_text_file(path);
    LogReader reader(path, text);
    reader.read();
    if (!reader.header)
        reader.refuse("holds no measurement", "name a folder that 'isoseam display measure' has made");
    AppendFile file(path, static_cast<off_t>(reader.whole_bytes), std::move(calls));
    MeasuringLog log(folder, std::move(*reader.header), std::move(reader.state), std::move(file),
                     std::move(reader.checksum));
    log.lost_torn_line_ = reader.whole_bytes < text.size();
    return log;
}

void MeasuringLog::append(const MeasuringEvent& event) {
    std::string checksum = checksum_;
    file_.append(sealed(to_json(event, state_.wavelengths_nm.empty()), checksum));
    checksum_ = std::move(checksum);
    state_ = after(std::move(state_), event);
}

}  // namespace isoseam
