#pragma once
// --field, --age and the percent changes and shifts of an individual eye, shared by the commands that take an
// observer.

#include <CLI/CLI.hpp>

#include "colorimetry/observer.h"

namespace isoseam {

class ObserverOptions {
  public:
    void add_to(CLI::App* command, bool individual);
    ObserverParameters parameters() const;  // unchecked: Observer checks

  private:
    double field_deg_ = 2.0;
    double age_years_ = 32.0;
    ObserverParameters deviations_;
};

}  // namespace isoseam
