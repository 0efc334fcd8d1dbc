#include "protocols/procedures/trial.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/random.h"

namespace isoseam {

std::string to_string(AnswerForm form) {
    static constexpr std::array<const char*, 5> kWords{"yes_no", "place", "same_different", "rating",
                                                       "adjustment"};
    return kWords.at(static_cast<std::size_t>(form));
}

std::string to_string(TrialResponse::Kind kind) {
    static constexpr std::array<const char*, 9> kWords{"yes",    "no",   "same",   "different", "place",
                                                       "rating", "step", "accept", "waiting"};
    return kWords.at(static_cast<std::size_t>(kind));
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
