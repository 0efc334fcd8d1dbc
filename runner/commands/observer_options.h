#pragma once
// The options that choose an eye: --field, --age, the type, the deviations of an individual, or one of the
// typical eyes. All commands that take an observer share them.

#include <string>

#include "colorimetry/eye_types.h"
#include "colorimetry/observer.h"

namespace isoseam {

class Command;

class ObserverOptions {
  public:
    void add_to(Command* command);
    // Observer checks the deviations and their range. Throws InputError for a type or a pigment that does not
    // exist, and for options that contradict each other.
    ObserverParameters parameters() const;
    const AnomalousPigments& pigments() const { return pigments_; }
    const std::string& type() const { return type_; }  // as written; may be empty

  private:
    double field_deg_ = 2.0;
    double age_years_ = 32.0;
    ObserverParameters deviations_;
    AnomalousPigments pigments_;
    std::string type_;
    std::string pigment_l_;
    std::string pigment_m_;
    std::string curves_ = "tables";
    int categorical_ = 0;
    Command* command_ = nullptr;  // tells which options were given
};

}  // namespace isoseam
