#include "protocols/procedures/trial.h"

#include <algorithm>
#include <cmath>

#include "base/random.h"

namespace isoseam {

std::string to_string(AnswerForm form) {
    switch (form) {
        case AnswerForm::yes_no:
            return "yes_no";
        case AnswerForm::place:
            return "place";
        case AnswerForm::same_different:
            return "same_different";
        case AnswerForm::rating:
            return "rating";
        case AnswerForm::adjustment:
            return "adjustment";
    }
    ISOSEAM_CHECK(false, "unknown form of answer");
    return {};
}

std::string to_string(TrialResponse::Kind kind) {
    switch (kind) {
        case TrialResponse::Kind::yes:
            return "yes";
        case TrialResponse::Kind::no:
            return "no";
        case TrialResponse::Kind::same:
            return "same";
        case TrialResponse::Kind::different:
            return "different";
        case TrialResponse::Kind::place:
            return "place";
        case TrialResponse::Kind::rating:
            return "rating";
        case TrialResponse::Kind::step:
            return "step";
        case TrialResponse::Kind::accept:
            return "accept";
        case TrialResponse::Kind::waiting:
            return "waiting";
    }
    ISOSEAM_CHECK(false, "unknown kind of response");
    return {};
}

std::uint64_t run_seed(std::uint64_t session_seed, int run) {
    ISOSEAM_CHECK(run >= 0);
    return RandomStream{session_seed, kStreamProcedureRun}.bits(static_cast<std::uint64_t>(run));
}

void SpecFaults::add(const std::string& key, const std::string& found, const std::string& remedy) {
    faults_.push_back({"", 0, 0, key, found, remedy});
}

void SpecFaults::require(bool good, const std::string& key, const std::string& found,
                         const std::string& remedy) {
    if (!good)
        add(key, found, remedy);
}

void SpecFaults::add_below(const std::string& key, const std::vector<Fault>& faults) {
    for (const Fault& fault : faults)
        add(key + "." + fault.key, fault.found, fault.remedy);
}

bool is_level(const Level& level) {
    return !level.empty() && level.size() <= 3 &&
           std::all_of(level.begin(), level.end(), [](double value) { return std::isfinite(value); });
}

}  // namespace isoseam
