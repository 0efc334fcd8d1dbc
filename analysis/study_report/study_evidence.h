#pragma once
// Everything that session folders tell of a study, gathered. Pure: the same folders in the same order give
// the same evidence.

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
    std::string unreadable_because;                 // "" if it could be read
    std::optional<Xyz> white, black;                // CIE 1931; none where the scale is not known either
    std::set<std::string> used_after_its_last_day;  // sessions by people
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
    std::vector<FolderUse> folders;      // all, in the order given; named by what tells their paths apart
    std::vector<SessionHeader> headers;  // of those used
    std::vector<AskedSeries> series;     // people before simulated observers, measured before demo
    std::vector<StudyParticipant> participants;
    std::vector<QuestionAnswer> questions;
    std::vector<UsedCalibration> calibrations;                  // by SHA-256
    std::map<UsedSource, std::size_t> sources;                  // and in how many sessions
    std::vector<std::pair<ScreenRecord, std::size_t>> screens;  // each once, and in how many sessions
    MatchSummary matches;
    ThresholdSummary thresholds;
    FlickerSummary flicker;
    std::vector<TypicalSetting> typical;  // one for each series with settings
    std::string newest_utc;               // of the sessions' beginnings
};

// Left out: damaged folders, folders that hold neither a setting nor an answer, a session that was given
// before.
StudyEvidence gather_study(const std::vector<SessionFolder>& folders, const ThresholdOptions& options = {});

// Whether a calibration file tells what stands under this key ("screen.name").
bool tells(const Calibration& calibration, const std::string& key);
const UsedCalibration& calibration_of(const StudyEvidence& evidence, const std::string& sha256);
// As text, what tells these paths apart: without the folders that all of them lie in.
std::vector<std::string> short_paths(const std::vector<std::string>& paths);

}  // namespace isoseam
