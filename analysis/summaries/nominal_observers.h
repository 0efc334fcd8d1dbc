#pragma once
// These are the nominal observers of the sessions met so far. Each is computed once.

#include <map>
#include <mutex>
#include <utility>

#include "colorimetry/observer.h"

namespace isoseam {

class NominalObservers {
  public:
    // May be called on several threads at a time. The references stay valid.
    const Observer& of(double field_deg, double age_years);

  private:
    std::mutex mutex_;
    std::map<std::pair<double, double>, Observer> by_field_and_age_;
};

}  // namespace isoseam
