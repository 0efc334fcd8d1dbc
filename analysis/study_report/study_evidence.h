#pragma once
// The evidence is everything that session folders say about a study. The gathering is pure: the same folders
// in the same order give the same evidence.

#include <optional>
#include <string>
#include <vector>

#include "analysis/study_report/asked.h"
#include "analysis/study_report/typical_setting.h"
#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/folder_use.h"
#include "analysis/summaries/match_summary.h"
#include "analysis/summaries/threshold_summary.h"
#include "calibration/calibration.h"
#include "colorimetry/colour_types.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct UsedCalibration {
    std::string file;
    std::string sha256;
    std::optional<Calibration> calibration;
    std::string unreadable_because;  // "" if it could be read
    // The tristimulus values of CIE 1931. There are none if the scale is not known.
    std::optional<Xyz> white, black;
    // The sessions by people for which it was used after its last day.
    std::set<std::string> used_after_its_last_day;
};

struct StudyParticipant {
    std::string code;
    bool simulated = false;
    std::vector<std::string> sessions;
    std::set<std::string> days;
    std::size_t settings = 0;
    std::size_t answers = 0;  // without practice
    std::size_t practice = 0;
    std::size_t incomplete = 0;  // sessions
};

// What a participant answered about themselves.
struct QuestionAnswer {
    std::string participant;
    std::string session;
    std::string when;  // "before" or "after"
    std::string name;
    std::string value;
};

struct StudyEvidence {
    // All folders, in the order given. Each has the shortest name that distinguishes its path from the
    // others.
    std::vector<FolderUse> folders;
    // The headers of the folders that were used.
    std::vector<SessionHeader> headers;
    // People stand before simulated observers, and measured before demo calibrations.
    std::vector<AskedSeries> series;
    std::vector<StudyParticipant> participants;
    std::vector<QuestionAnswer> questions;
    std::vector<UsedCalibration> calibrations;  // by SHA-256
    // Each source, and the number of sessions that used it.
    std::map<UsedSource, std::size_t> sources;
    // Each screen once, with the number of sessions that used it.
    std::vector<std::pair<ScreenRecord, std::size_t>> screens;
    MatchSummary matches;
    ThresholdSummary thresholds;
    FlickerSummary flicker;
    std::vector<TypicalSetting> typical;  // one for each series with settings
    // The time of the newest beginning of a session.
    std::string newest_utc;

    // Says whether any spread between participants was found.
    bool has_components() const;
    // Says whether tells_of_flicker() is true of any series.
    bool has_flicker() const;
};

// Damaged folders are left out, and so are folders that hold neither a setting nor an answer, and a session
// that was given before.
StudyEvidence gather_study(const std::vector<SessionFolder>& folders, const ThresholdOptions& options = {});

// Says whether settings of a series concern luminance at all: some alternated with the reference on one spot,
// or some have a fit.
bool tells_of_flicker(const FlickerSeries& series);
// Says whether a calibration file gives a value for this key ("screen.name").
bool tells(const Calibration& calibration, const std::string& key);
const UsedCalibration& calibration_of(const StudyEvidence& evidence, const std::string& sha256);
// Gives the part of each path that distinguishes it from the others: the folders that all of them lie in are
// left out.
std::vector<std::string> short_paths(const std::vector<std::string>& paths);

}  // namespace isoseam
