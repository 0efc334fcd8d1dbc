#include "analysis/study_report/asked.h"

#include <algorithm>
#include <numeric>

namespace isoseam {

void ValueRange::widen(double value) {
    smallest = empty ? value : std::min(smallest, value);
    largest = empty ? value : std::max(largest, value);
    empty = false;
}

std::size_t AskedCondition::records() const {
    return std::accumulate(records_by_participant.begin(), records_by_participant.end(), std::size_t{0},
                           [](std::size_t sum, const auto& one) { return sum + one.second; });
}

std::size_t AskedSeries::records(bool are_settings) const {
    std::size_t count = 0;
    for (const AskedCondition& condition : conditions)
        count += (condition.form == "setting") == are_settings ? condition.records() : 0;
    return count;
}

}  // namespace isoseam
