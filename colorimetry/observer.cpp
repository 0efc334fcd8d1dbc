#include "colorimetry/observer.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "colorimetry/cie_tables.h"
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
constexpr std::array kWeights2deg = {0.68990272, 0.34832189};
constexpr std::array kWeights10deg = {0.69283932, 0.34967567};
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

const char* name_of(Pigment pigment) {
    constexpr const char* kNames[] = {"L pigment", "M pigment", "S pigment", "L pigment with serine at 180",
                                      "L pigment with alanine at 180"};
    return kNames[static_cast<int>(pigment)];
}

Fault fault(const char* key, std::string found, std::string remedy) {
    return {"", 0, 0, key, std::move(found), std::move(remedy)};
}

void check_cones(const ObserverParameters& parameters, std::vector<Fault>& faults) {
    if (parameters.lacks_l && parameters.lacks_m && parameters.lacks_s) {
        faults.push_back(fault("cones", "an eye that lacks L, M and S has no cone fundamentals",
                               "leave it at least one cone; for rods see rods.h"));
    }
    for (const auto& [key, pigment] :
         {std::pair{"pigment_l", parameters.l_pigment}, std::pair{"pigment_m", parameters.m_pigment}}) {
        if (pigment == Pigment::s) {
            faults.push_back(fault(key, "the S pigment in another cone", "choose an L or an M pigment"));
        } else if (parameters.curves == CurveSource::tables && pigment != Pigment::l &&
                   pigment != Pigment::m) {
            faults.push_back(fault(key,
                                   fmt::format("the tables of CIE 170-1:2006 have no {}", name_of(pigment)),
                                   "choose the formulae, or the L or the M pigment"));
        }
    }
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
    check_cones(parameters, faults);
    throw_if_any(faults);
}

// How many samples there are before a curve turns 0 for good.
Eigen::Index nonzero_head(const Eigen::Ref<const Eigen::VectorXd>& curve) {
    Eigen::Index count = curve.size();
    while (count > 0 && curve[count - 1] == 0.0) {
        --count;
    }
    return count;
}

// The published table for these parameters, nullptr if there is none.
const SensitivityTable* published_table(const ObserverParameters& parameters) {
    if (parameters.curves != CurveSource::tables || !parameters.is_standard() ||
        parameters.age != Years::from_years(32.0)) {
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
    return l_pigment == Pigment::l && m_pigment == Pigment::m;
}

bool ObserverParameters::has(Cone cone) const {
    switch (cone) {
        case Cone::l:
            return !lacks_l;
        case Cone::m:
            return !lacks_m;
        case Cone::s:
            return !lacks_s;
    }
    ISOSEAM_CHECK(false, "a cone that is not L, M or S");
}

Observer::Observer(const ObserverParameters& parameters) : parameters_(parameters) {
    check(parameters);
    if (const SensitivityTable* table = published_table(parameters)) {
        published_ = true;
        energy_ = *table;
        const auto& weights = parameters.field == Degrees::from_degrees(2.0) ? kWeights2deg : kWeights10deg;
        luminance_weights_ = Eigen::Vector2d(weights[0], weights[1]);
        take_away_lacking_cones();
    } else {
        const ModelledEye eye = modelled_eye(parameters);
        first_nm_ = eye.first_nm;
        energy_ = eye.energy;
        luminance_weights_ = eye.luminance_weights;
    }
    if (has(Cone::s) && (has(Cone::l) || has(Cone::m))) {
        const Eigen::Index count = nonzero_head(energy_.col(2));
        s_scale_ = 1.0 / peak_on_tenth_nm(energy_.col(2).head(count).cwiseQuotient(
                             energy_.leftCols<2>().topRows(count) * luminance_weights_));
    }
}

void Observer::take_away_lacking_cones() {
    for (const Cone cone : {Cone::l, Cone::m, Cone::s}) {
        if (!has(cone)) {
            energy_.col(static_cast<Eigen::Index>(cone)).setZero();
        }
    }
    if (has(Cone::l) && has(Cone::m)) {
        return;
    }
    luminance_weights_ = luminance_weights_.cwiseProduct(Eigen::Vector2d(has(Cone::l), has(Cone::m)));
    if (has(Cone::l) || has(Cone::m)) {
        luminance_weights_ /= peak_on_tenth_nm(energy_.leftCols<2>() * luminance_weights_);
    }
}

Observer::Table Observer::quantal() const {
    return with_peak_1(quantal_from_energy(energy_, first_nm_));
}

EyeParts eye_parts(const ObserverParameters& parameters) {
    check(parameters);
    return modelled_parts(parameters);
}

Observer Observer::cie170(Degrees field, Years age) {
    ObserverParameters parameters;
    parameters.field = field;
    parameters.age = age;
    return Observer(parameters);
}

std::string Observer::description() const {
    std::string text = fmt::format(
        "CIE 170-1:2006{}, field {} deg, age {} years",
        parameters_.curves == CurveSource::tables ? "" : " with the formulae of Stockman & Rider 2023",
        parameters_.field.degrees(), parameters_.age.years());
    for (const auto& [cone, name] : {std::pair{Cone::l, 'L'}, {Cone::m, 'M'}, {Cone::s, 'S'}}) {
        if (!has(cone)) {
            text += fmt::format(", lacks {}", name);
        }
    }
    if (parameters_.l_pigment != Pigment::l) {
        text += fmt::format(", L cones with the {}", name_of(parameters_.l_pigment));
    }
    if (parameters_.m_pigment != Pigment::m) {
        text += fmt::format(", M cones with the {}", name_of(parameters_.m_pigment));
    }
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
    return sensitivity_at_nm(energy_, first_nm_, nm);
}

Lms Observer::excitations(const Spectrum& spectrum) const {
    return Lms::from_vector(caught(spectrum, energy_, first_nm_));
}

double Observer::unseen_share(const Spectrum& spectrum) const {
    if (!spectrum.has_continuous_part()) {
        return 0.0;
    }
    Eigen::RowVector3d unseen = Eigen::RowVector3d::Zero();
    for (int nm = first_nm(); nm <= last_nm(); ++nm) {
        if (nm < spectrum.first_nm() || nm > spectrum.last_nm()) {
            unseen += energy_.row(nm - first_nm());
        }
    }
    double largest = 0.0;
    for (const Cone cone : {Cone::l, Cone::m, Cone::s}) {
        if (const auto column = static_cast<Eigen::Index>(cone); has(cone)) {
            largest = std::max(largest, unseen[column] / energy_.col(column).sum());
        }
    }
    return largest;
}

}  // namespace isoseam
