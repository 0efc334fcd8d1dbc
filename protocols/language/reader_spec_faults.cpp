// Faults that the procedures find in their specs, told at their places in the file.

#include <algorithm>
#include <charconv>
#include <set>
#include <utility>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

// The place below `node` that a procedure's key names. In "tracks[0].lowest" the index counts from 0, as in
// the procedure's spec. Where the file does not have the whole path, the place is the deepest part of the
// path that it has.
YamlNode place_of(const YamlNode& node, std::string_view key) {
    const std::size_t end = key.find_first_of(".[");
    const std::string word(key.substr(0, end));
    const std::string_view rest = end == std::string_view::npos ? "" : key.substr(end);
    const YamlNode here = word.empty() ? node : node.find(word);
    if (rest.empty() || !here.exists())
        return here;
    if (rest.front() == '.')
        return here.is_map() ? place_of(here, rest.substr(1)) : here;
    std::size_t index = 0;
    const std::size_t closed = rest.find(']');
    std::from_chars(rest.data() + 1, rest.data() + closed, index);
    if (!here.is_sequence() || index >= here.items().size())
        return here;
    const std::string_view after = rest.substr(closed + 1);
    const YamlNode item = here.items()[index];
    return after.empty() || !item.is_map() ? item : place_of(item, after.substr(1));
}

// The key as the file has it. The keys of a single track stand in the staircase itself.
std::string key_in_file(const YamlNode& node, const std::string& key) {
    const std::string first_track = "tracks[0].";
    const bool single = key.rfind(first_track, 0) == 0 && !node.find("tracks").exists();
    return single ? key.substr(first_track.size()) : key;
}

// Whether the procedure's faults at this key name a share, such as 0.25, that the file writes in %.
bool is_share(const std::string& key, const TaskPlan& plan, const LevelForm& form) {
    const auto* bayesian = std::get_if<BayesianAdaptiveSpec>(&plan.spec.levels);
    if (key == "threshold")  // For a weibull the fault is about its logarithm.
        return bayesian && bayesian->form != PsychometricForm::weibull && !form.plain.front();
    return key == "guess" || key == "lapse" || key == "same_share" || key == "catch_trials.share";
}

// Notes each pair of place and remedy only once, because many values of a grid may have the same fault.
void note(const YamlNode& node, const std::vector<Fault>& found, const TaskPlan& plan,
          const LevelForm& form) {
    std::set<std::pair<std::string, std::string>> told;
    for (const Fault& fault : found) {
        const YamlNode place = place_of(node, key_in_file(node, fault.key));
        const std::string unit = is_share(fault.key, plan, form) ? " (as shares: 0.01 is 1 %)" : "";
        if (told.emplace(place.key_path(), fault.remedy).second)
            place.fault(fault.found, fault.remedy + unit);
    }
}

}  // namespace

void note_faults_of_source(const YamlNode& task, const TaskPlan& plan, const LevelForm& form) {
    for (const std::string& word : kLevelSources) {
        if (!task.find(word).exists())
            continue;
        note(task.find(word), faults(plan.spec.levels), plan, form);
        return;
    }
}

void note_faults_of_rest(const YamlNode& task, const TaskPlan& plan, const LevelForm& form,
                         bool source_is_sound) {
    TaskSpec spec = plan.spec;
    if (!source_is_sound)
        spec.levels = ConstantStimuliSpec{{Level(form.plain.size(), 0.0)}, 1, 1};
    const std::vector<Fault> of_source = faults(spec.levels);
    std::vector<Fault> of_rest;
    std::vector<Fault> of_guess;
    for (const Fault& fault : faults(spec)) {
        const bool told = std::any_of(of_source.begin(), of_source.end(), [&](const Fault& other) {
            return other.key == fault.key && other.found == fault.found;
        });
        if (!told)
            (fault.key == "guess" ? of_guess : of_rest).push_back(fault);
    }
    note(task, of_rest, plan, form);
    note(task.find("bayesian"), of_guess, plan, form);
}

}  // namespace isoseam
