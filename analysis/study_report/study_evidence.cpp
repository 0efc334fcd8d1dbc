#include "analysis/study_report/study_evidence.h"

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "analysis/study_report/asked_gatherer.h"
#include "base/errors.h"
#include "calibration/display_model.h"

namespace isoseam {
namespace {

using Used = std::vector<const SessionFolder*>;

constexpr std::size_t kDayLetters = 10;  // of "2026-11-25T16:03:12Z"

UsedCalibration read(const StoredText& stored) {
    UsedCalibration used;
    used.file = stored.file;
    used.sha256 = stored.sha256;
    try {
        used.calibration = parse_calibration(stored.text, stored.file);
        if (used.calibration->scale_known) {
            const DisplayModel display(*used.calibration);
            used.white = display.xyz(LinearDrive{Eigen::VectorXd::Ones(display.primary_count())});
            used.black = display.black_xyz();
        }
    } catch (const InputError& error) {
        used.unreadable_because = to_string(error.faults().front());
    }
    return used;
}

void gather_calibrations(StudyEvidence& evidence) {
    std::map<std::string, UsedCalibration> by_sha256;
    for (const SessionHeader& header : evidence.headers) {
        for (const auto& [sha256, stored] : header.calibrations) {
            if (!by_sha256.contains(sha256))
                by_sha256.emplace(sha256, read(stored));
            UsedCalibration& used = by_sha256.at(sha256);
            if (header.kind == "session" && used.calibration && tells(*used.calibration, "valid_until") &&
                expired(*used.calibration, parse_day(header.started_utc.substr(0, kDayLetters))))
                used.used_after_its_last_day.insert(header.session);
        }
        for (const SourceRecord& source : header.sources)
            ++evidence.sources[{source.name, source.calibration, source.bits, source.dither}];
    }
    for (const auto& [sha256, used] : by_sha256)
        evidence.calibrations.push_back(used);
}

auto key_of(const ScreenRecord& screen) {
    return std::tuple(screen.index, screen.name, screen.width_px, screen.height_px, screen.refresh_hz,
                      screen.bits, screen.video_driver, screen.renderer, screen.gl_version);
}

void gather_screens(StudyEvidence& evidence) {
    for (const SessionHeader& header : evidence.headers) {
        for (const ScreenRecord& screen : header.screens) {
            const auto found =
                std::find_if(evidence.screens.begin(), evidence.screens.end(),
                             [&](const auto& known) { return key_of(known.first) == key_of(screen); });
            if (found == evidence.screens.end())
                evidence.screens.emplace_back(screen, 1);
            else
                ++found->second;
        }
    }
}

std::string value_words(const nlohmann::json& value) {
    if (value.is_boolean())
        return value.get<bool>() ? "yes" : "no";
    return value.is_string() ? value.get<std::string>() : value.dump();
}

void gather_people(StudyEvidence& evidence, const Used& used) {
    std::map<std::pair<bool, std::string>, StudyParticipant> by_code;
    for (const SessionFolder* folder : used) {
        const SessionHeader& header = folder->header;
        StudyParticipant& one = by_code[{header.kind == "rehearsal", header.participant}];
        one.code = header.participant;
        one.simulated = header.kind == "rehearsal";
        one.sessions.push_back(header.session);
        if (!one.simulated)
            one.days.insert(header.started_utc.substr(0, kDayLetters));
        one.settings += folder->settings.size();
        for (const AnswerRecord& answer : folder->answers)
            ++(answer.practice ? one.practice : one.answers);
        one.incomplete += folder->state == SessionState::complete ? 0 : 1;
        for (const Event& event : folder->events) {
            if (event.kind == "question_answered")
                evidence.questions.push_back(
                    {header.participant, header.session, event.data.at("when").get<std::string>(),
                     event.data.at("name").get<std::string>(), value_words(event.data.at("value"))});
        }
    }
    for (const auto& [key, participant] : by_code)
        evidence.participants.push_back(participant);
}

void gather_asked(StudyEvidence& evidence, const Used& used, KnownScreens& screens) {
    std::map<SeriesKey, AskedGatherer> by_series;
    for (const SessionFolder* folder : used)
        by_series.try_emplace(series_key(folder->header), screens).first->second.add(*folder);
    for (const auto& [key, gatherer] : by_series)
        evidence.series.push_back(gatherer.finish());
}

void summarise(StudyEvidence& evidence, const std::vector<SessionFolder>& folders,
               const ThresholdOptions& options) {
    MatchOptions match_options;
    match_options.keep_settings = true;
    evidence.matches = summarise_matches(folders, match_options);
    evidence.thresholds = summarise_thresholds(folders, options);
    evidence.flicker = summarise_flicker(folders);
}

}  // namespace

std::vector<std::string> short_paths(const std::vector<std::string>& paths) {
    std::vector<std::vector<std::string>> parts;
    for (const std::string& path : paths) {
        parts.emplace_back();
        for (const auto& part : std::filesystem::path(path).lexically_normal()) {
            if (!part.empty())  // after a slash at the end
                parts.back().push_back(part.string());
        }
    }
    // This is what all share, except for the last part of each.
    std::size_t shared = parts.empty() || parts.front().empty() ? 0 : parts.front().size() - 1;
    for (const std::vector<std::string>& path : parts) {
        shared = std::min(shared, path.empty() ? 0 : path.size() - 1);
        const auto first_other =
            std::mismatch(path.begin(), path.begin() + static_cast<long>(shared), parts.front().begin());
        shared = static_cast<std::size_t>(first_other.first - path.begin());
    }
    std::vector<std::string> names;
    for (const std::vector<std::string>& path : parts) {
        std::filesystem::path name;
        for (std::size_t i = shared; i < path.size(); ++i)
            name /= path[i];
        names.push_back(name.string());
    }
    return names;
}

StudyEvidence gather_study(const std::vector<SessionFolder>& folders, const ThresholdOptions& options) {
    StudyEvidence evidence;
    std::vector<std::string> paths;
    for (const SessionFolder& folder : folders)
        paths.push_back(folder.folder);
    const std::vector<std::string> names = short_paths(paths);
    FoldersSeen seen;
    Used used;
    for (std::size_t i = 0; i < folders.size(); ++i) {
        SessionFolder named;  // what is told of a folder calls it by its short name
        named.folder = names[i];
        named.state = folders[i].state;
        named.header_ok = folders[i].header_ok;
        named.header = folders[i].header;
        named.faults = folders[i].faults;
        for (Fault& fault : named.faults)
            fault.file = std::filesystem::path(fault.file).filename().string();
        evidence.folders.push_back(use_of(named, folders[i].settings.size() + folders[i].answers.size(),
                                          "it holds neither a setting nor an answer", seen));
        if (evidence.folders.back().left_out_because.empty()) {
            used.push_back(&folders[i]);
            evidence.headers.push_back(folders[i].header);
            evidence.newest_utc = std::max(evidence.newest_utc, folders[i].header.started_utc);
        }
    }
    KnownScreens screens;
    gather_calibrations(evidence);
    gather_screens(evidence);
    gather_people(evidence, used);
    gather_asked(evidence, used, screens);
    summarise(evidence, folders, options);
    evidence.typical = typical_settings(used, screens);
    return evidence;
}

bool StudyEvidence::has_components() const {
    return std::any_of(matches.series.begin(), matches.series.end(),
                       [](const MatchSeries& one) { return !one.components.empty(); });
}

bool StudyEvidence::has_flicker() const {
    return std::any_of(flicker.series.begin(), flicker.series.end(), tells_of_flicker);
}

bool tells_of_flicker(const FlickerSeries& series) {
    return std::any_of(series.weights.begin(), series.weights.end(), [](const ParticipantFlicker& one) {
        return one.fit || std::any_of(one.conditions.begin(), one.conditions.end(),
                                      [](const FlickerCondition& c) { return c.took_turns; });
    });
}

bool tells(const Calibration& calibration, const std::string& key) {
    return std::find(calibration.unknown.begin(), calibration.unknown.end(), key) ==
           calibration.unknown.end();
}

const UsedCalibration& calibration_of(const StudyEvidence& evidence, const std::string& sha256) {
    const auto found = std::find_if(evidence.calibrations.begin(), evidence.calibrations.end(),
                                    [&](const UsedCalibration& used) { return used.sha256 == sha256; });
    ISOSEAM_CHECK(found != evidence.calibrations.end(), sha256);
    return *found;
}

}  // namespace isoseam
