#include "analysis/study_report/study_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/add_once.h"

namespace isoseam {
namespace {

std::size_t count_of(const StudyEvidence& evidence, bool simulated) {
    return static_cast<std::size_t>(
        std::count_if(evidence.participants.begin(), evidence.participants.end(),
                      [&](const StudyParticipant& one) { return one.simulated == simulated; }));
}

std::size_t sessions_of(const StudyEvidence& evidence, bool simulated) {
    std::size_t count = 0;
    for (const StudyParticipant& one : evidence.participants)
        count += one.simulated == simulated ? one.sessions.size() : 0;
    return count;
}

std::vector<std::string> protocol_files(const StudyEvidence& evidence) {
    std::vector<std::string> files;
    for (const AskedSeries& series : evidence.series)
        add_once(files, series.facts.protocol_file);
    return files;
}

void warn_of_people(const StudyEvidence& evidence, std::vector<std::string>& warnings) {
    const std::size_t simulated = sessions_of(evidence, true);
    const std::size_t real = sessions_of(evidence, false);
    if (simulated > 0 && real == 0)
        warnings.emplace_back(
            "REHEARSAL. Simulated observers did all of this; no person took part. It is no evidence about "
            "people.");
    else if (simulated > 0)
        warnings.push_back(fmt::format(
            "PARTLY REHEARSED. {} of {} by simulated observers: what is marked as rehearsal is no evidence "
            "about people. Rehearsals and people are never pooled.",
            simulated, counted(simulated + real, "session was", "sessions were")));
}

void warn_of_calibrations(const StudyEvidence& evidence, std::vector<std::string>& warnings) {
    for (const UsedCalibration& used : evidence.calibrations) {
        if (!used.calibration) {
            warnings.push_back(
                fmt::format("The calibration {} cannot be read, so its lights are not told here: {}.",
                            used.file, used.unreadable_because));
            continue;
        }
        const Calibration& screen = *used.calibration;
        const std::string name = fmt::format("{} ({})", screen_words(used), used.file);
        if (screen.invented)
            warnings.push_back(fmt::format(
                "DEMO DATA. The calibration of {} is invented: no such screen exists, and nothing that was "
                "seen on it is evidence about people.",
                name));
        if (screen.estimated)
            warnings.push_back(fmt::format(
                "ESTIMATED. The calibration of {} was judged by eye and filled in with typical spectra; it "
                "was not measured, and is not for science.",
                name));
        if (!screen.unfit.empty())
            warnings.push_back(fmt::format("The calibration of {} says that no experiment may use it: {}.",
                                           name, screen.unfit));
        if (!screen.scale_known)
            warnings.push_back(fmt::format(
                "The calibration of {} holds counts of an instrument: its luminances are not known.", name));
        if (!used.used_after_its_last_day.empty())
            warnings.push_back(fmt::format(
                "The calibration of {} was used after its last day, {}, in {}: {}.", name,
                to_string(screen.valid_until), counted(used.used_after_its_last_day.size(), "session"),
                fmt::join(used.used_after_its_last_day, ", ")));
    }
}

void warn_of_folders(const StudyEvidence& evidence, std::vector<std::string>& warnings) {
    const auto left_out = static_cast<std::size_t>(
        std::count_if(evidence.folders.begin(), evidence.folders.end(),
                      [](const FolderUse& use) { return !use.left_out_because.empty(); }));
    if (left_out > 0)
        warnings.push_back(fmt::format(
            "{} of the {} given {} left out; \u201cProvenance\u201d says which and why.", left_out,
            counted(evidence.folders.size(), "folder"), left_out == 1 ? "was" : "were"));
    std::size_t incomplete = 0;
    for (const StudyParticipant& one : evidence.participants)
        incomplete += one.incomplete;
    if (incomplete > 0)
        warnings.push_back(fmt::format("{} left early or interrupted; what was recorded until then counts.",
                                       counted(incomplete, "session was", "sessions were")));
}

void warn_of_frames(const StudyEvidence& evidence, std::vector<std::string>& warnings) {
    for (const AskedSeries& series : evidence.series) {
        for (const AskedCondition& condition : series.conditions) {
            if (condition.late > 0)
                warnings.push_back(fmt::format(
                    "Frames were late or dropped in {} of the {} in condition {} of {}.", condition.late,
                    counted(condition.records(), condition.form == "setting" ? "setting" : "answer"),
                    quoted_words(condition.condition), series.facts.protocol_file));
        }
    }
}

}  // namespace

std::string people_words(std::size_t count, bool simulated) {
    return counted(count, simulated ? "simulated observer" : "participant");
}

std::string sessions_words(std::size_t count, bool simulated) {
    return counted(count, simulated ? "rehearsal" : "session");
}

std::string conditions_words(const std::vector<std::string>& names) {
    return (names.size() == 1 ? "condition " : "conditions ") + listed(names);
}

std::string adaptations_words(const AskedSeries& series) {
    std::vector<std::string> adaptations;
    for (const Adaptation& one : series.adaptations)
        adaptations.push_back(fmt::format("{} for {:g} s", quoted_words(one.light), one.duration_s));
    return listed(adaptations);
}

std::string screen_words(const UsedCalibration& used) {
    if (!used.calibration)
        return "a screen whose calibration cannot be read";
    return tells(*used.calibration, "screen.name") ? quoted_words(used.calibration->name)
                                                   : "a screen whose name is not told";
}

std::string study_title(const StudyEvidence& evidence) {
    constexpr std::size_t kMostNamed = 3;
    const std::vector<std::string> files = protocol_files(evidence);
    if (files.empty())
        return "Report of a study without sessions";
    if (files.size() > kMostNamed)
        return fmt::format("Report of a study with {} protocols", files.size());
    return "Report of a study: " + listed(files);
}

std::vector<std::string> study_lead(const StudyEvidence& evidence) {
    if (evidence.series.empty())
        return {"None of the folders given could be used."};
    std::vector<std::string> who;
    for (const bool simulated : {false, true}) {
        if (count_of(evidence, simulated) > 0)
            who.push_back(fmt::format("{} in {}", people_words(count_of(evidence, simulated), simulated),
                                      sessions_words(sessions_of(evidence, simulated), simulated)));
    }
    std::size_t settings = 0;
    std::size_t answers = 0;
    for (const AskedSeries& series : evidence.series) {
        settings += series.settings();
        answers += series.answers();
    }
    std::vector<std::string> what;
    if (settings > 0)
        what.push_back(counted(settings, "setting"));
    if (answers > 0)
        what.push_back(counted(answers, "answer"));
    return {fmt::format("It rests on {} by {}.", what.empty() ? "practice alone" : listed(what), listed(who)),
            no_diagnosis()};
}

std::vector<std::string> study_warnings(const StudyEvidence& evidence) {
    std::vector<std::string> warnings;
    warn_of_people(evidence, warnings);
    warn_of_calibrations(evidence, warnings);
    warn_of_folders(evidence, warnings);
    warn_of_frames(evidence, warnings);
    return warnings;
}

std::vector<std::string> session_cautions(const StudyEvidence& evidence) {
    std::vector<std::string> cautions;
    for (const AskedSeries& series : evidence.series) {
        for (const std::string& caution : series.facts.cautions)
            add_once(cautions, caution);
    }
    return cautions;
}

std::vector<std::string> same_primaries_words(const StudyEvidence& evidence) {
    std::vector<std::string> words;
    for (const AskedSeries& series : evidence.series) {
        std::vector<std::string> conditions;
        for (const AskedCondition& condition : series.conditions) {
            if (condition.shares_primaries && condition.three_primaries)
                conditions.push_back(quoted_words(condition.condition));
        }
        if (!conditions.empty())
            words.push_back(fmt::format("In {} of {} the lights compared came from the same primaries.",
                                        conditions_words(conditions), series.facts.protocol_file));
    }
    if (words.empty())
        return words;
    words.emplace_back(
        "Two lights of the same three primaries are either identical or different: who has three kinds of "
        "cones matches them at equal drive values, whatever the eye. So a distance of such a setting from "
        "the predicted match tells of precision, criterion, adaptation and surround, and never of this "
        "person\u2019s cones, lens or macular pigment.");
    words.emplace_back(
        "To see individual cones, light the halves by different primaries: two screens, or a screen and "
        "another source.");
    return words;
}

std::string no_diagnosis() {
    return "Nothing here is a diagnosis: screening for and diagnosis of colour-vision deficiency belong to a "
           "qualified person with an approved instrument.";
}

}  // namespace isoseam
