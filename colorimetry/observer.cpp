#include "colorimetry/observer.h"

#include <fmt/format.h>

#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include "colorimetry/cie_tables.h"
#include "colorimetry/errors.h"
#include "colorimetry/observer_model.h"
#include "colorimetry/sensitivity.h"

namespace isoseam {
namespace {

constexpr double kLeastFieldDeg = 1.0;
constexpr double kLargestFieldDeg = 10.0;
constexpr double kLeastAgeYears = 20.0;
constexpr double kLargestAgeYears = 80.0;
constexpr double kLargestPercent = 1000.0;
constexpr double kLargestShiftNm = 30.0;

// CIE 170-2:2015, for the published tables.
const Eigen::Vector2d kWeights2deg{0.68990272, 0.34832189};
const Eigen::Vector2d kWeights10deg{0.69283932, 0.34967567};
struct Deviation {
    const char* key;
    const char* name;
    double ObserverParameters::*value;
};

constexpr Deviation kPercents[] = {
    {"lens", "lens", &ObserverParameters::lens_percent},
    {"macular", "macular", &ObserverParameters::macular_percent},
    {"density_l", "density of L", &ObserverParameters::density_l_percent},
    {"density_m", "density of M", &ObserverParameters::density_m_percent},
    {"density_s", "density of S", &ObserverParameters::density_s_percent},
};

constexpr Deviation kShifts[] = {
    {"shift_l", "shift of L", &ObserverParameters::shift_l_nm},
    {"shift_m", "shift of M", &ObserverParameters::shift_m_nm},
    {"shift_s", "shift of S", &ObserverParameters::shift_s_nm},
};

Fault fault(const char* key, std::string found, std::string remedy) {
    return {.file = {},
            .line = 0,
            .column = 0,
            .key = key,
            .found = std::move(found),
            .remedy = std::move(remedy)};
}

void check(const ObserverParameters& parameters) {
    std::vector<Fault> faults;
    const double field_deg = parameters.field.degrees();
    if (!(field_deg >= kLeastFieldDeg && field_deg <= kLargestFieldDeg)) {
        faults.push_back(fault("field", fmt::format("no standard observer for a field of {} deg", field_deg),
                               "give 1 to 10 deg (the range of CIE 170-1:2006)"));
    }
    const double age_years = parameters.age.years();
    if (!(age_years >= kLeastAgeYears && age_years <= kLargestAgeYears)) {
        faults.push_back(fault("age", fmt::format("no standard observer of {} years", age_years),
                               "give 20 to 80 years (the range of CIE 170-1:2006)"));
    }
    for (const Deviation& percent : kPercents) {
        const double value = parameters.*percent.value;
        if (!(value > -100.0 && value <= kLargestPercent)) {
            faults.push_back(fault(percent.key, fmt::format("a change of density by {} %", value),
                                   fmt::format("give more than -100 % and at most {} %", kLargestPercent)));
        }
    }
    for (const Deviation& shift : kShifts) {
        const double value = parameters.*shift.value;
        if (!(std::abs(value) <= kLargestShiftNm)) {
            faults.push_back(fault(shift.key, fmt::format("a shift by {} nm", value),
                                   fmt::format("give -{0} to {0} nm", kLargestShiftNm)));
        }
    }
    if (!faults.empty()) {
        throw InputError(faults);
    }
}

// The published table for these parameters, nullptr if there is none.
const SensitivityTable* published_table(const ObserverParameters& parameters) {
    if (!parameters.is_standard() || parameters.age != Years::from_years(32.0)) {
        return nullptr;
    }
    if (parameters.field == Degrees::from_degrees(2.0)) {
        return &cie170_cone_fundamentals_2deg();
    }
    return parameters.field == Degrees::from_degrees(10.0) ? &cie170_cone_fundamentals_10deg() : nullptr;
}

}  // namespace

bool ObserverParameters::is_standard() const {
    for (const auto& deviations :
         {std::span<const Deviation>(kPercents), std::span<const Deviation>(kShifts)}) {
        for (const Deviation& deviation : deviations) {
            if (this->*deviation.value != 0.0) {
                return false;
            }
        }
    }
    return true;
}

Observer::Observer(const ObserverParameters& parameters) : parameters_(parameters) {
    check(parameters);
    if (const SensitivityTable* table = published_table(parameters)) {
        published_ = true;
        energy_ = *table;
        luminance_weights_ = parameters.field == Degrees::from_degrees(2.0) ? kWeights2deg : kWeights10deg;
    } else {
        const ModelledEye eye = modelled_eye(parameters);
        energy_ = eye.energy;
        luminance_weights_ = eye.luminance_weights;
    }
    quantal_ = with_peak_1(quantal_from_energy(energy_));
    const Eigen::VectorXd luminous_efficiency = energy_.leftCols<2>() * luminance_weights_;
    s_scale_ = 1.0 / peak_on_tenth_nm(energy_.col(2).cwiseQuotient(luminous_efficiency));
}

Observer Observer::cie170(Degrees field, Years age) {
    ObserverParameters parameters;
    parameters.field = field;
    parameters.age = age;
    return Observer(parameters);
}

std::string Observer::description() const {
    std::string text = fmt::format("CIE 170-1:2006, field {} deg, age {} years", parameters_.field.degrees(),
                                   parameters_.age.years());
    for (const Deviation& percent : kPercents) {
        if (const double value = parameters_.*percent.value; value != 0.0) {
            text += fmt::format(", {} {:+} %", percent.name, value);
        }
    }
    for (const Deviation& shift : kShifts) {
        if (const double value = parameters_.*shift.value; value != 0.0) {
            text += fmt::format(", {} {:+} nm", shift.name, value);
        }
    }
    return text + (published_ ? " (published table)" : " (computed)");
}

Eigen::Vector3d Observer::energy_at_nm(double nm) const {
    return sensitivity_at_nm(energy_, kFirstNm, nm);
}

Lms Observer::excitations(const Spectrum& spectrum) const {
    return Lms::from_vector(caught(spectrum, energy_, kFirstNm));
}

double Observer::unseen_share(const Spectrum& spectrum) const {
    if (!spectrum.has_continuous_part()) {
        return 0.0;
    }
    Eigen::RowVector3d unseen = Eigen::RowVector3d::Zero();
    for (int i = 0; i < kSamples; ++i) {
        if (const double nm = kFirstNm + i; nm < spectrum.first_nm() || nm > spectrum.last_nm()) {
            unseen += energy_.row(i);
        }
    }
    return (unseen.array() / energy_.colwise().sum().array()).maxCoeff();
}

}  // namespace isoseam
