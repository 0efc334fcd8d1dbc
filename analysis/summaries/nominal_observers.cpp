#include "analysis/summaries/nominal_observers.h"

namespace isoseam {

const Observer& NominalObservers::of(double field_deg, double age_years) {
    const std::pair key(field_deg, age_years);
    const std::lock_guard lock(mutex_);
    auto found = by_field_and_age_.find(key);
    if (found == by_field_and_age_.end()) {
        const Observer made =
            Observer::cie170(Degrees::from_degrees(field_deg), Years::from_years(age_years));
        found = by_field_and_age_.emplace(key, made).first;
    }
    return found->second;
}

}  // namespace isoseam
