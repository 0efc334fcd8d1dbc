#pragma once
// The types of eye: which cones an eye has, and which pigment is in them.
//
//     const Observer protanope(as_type(eye.parameters(), EyeType::protanope));

#include <array>
#include <string>

#include "colorimetry/observer.h"

namespace isoseam {

enum class EyeType {
    trichromat,
    protanomalous,    // an M-like pigment in the L cones
    deuteranomalous,  // an L-like pigment in the M cones
    protanope,        // lacks L
    deuteranope,      // lacks M
    tritanope,        // lacks S
    l_cone_monochromat,
    m_cone_monochromat,
    s_cone_monochromat,
};
inline constexpr std::array<EyeType, 9> kEyeTypes = {
    EyeType::trichromat,         EyeType::protanomalous,      EyeType::deuteranomalous,
    EyeType::protanope,          EyeType::deuteranope,        EyeType::tritanope,
    EyeType::l_cone_monochromat, EyeType::m_cone_monochromat, EyeType::s_cone_monochromat};

// How far an anomalous pigment lies from the eye's own pigment that it resembles, in nm. The values are
// examples: real eyes of one type differ, which is why they can be stated.
struct AnomalousPigments {
    double from_m_nm = 4.0;   // in the L cones of a protanomalous eye
    double from_l_nm = -4.0;  // in the M cones of a deuteranomalous eye
};

const std::string& name_of(EyeType type);         // "L-cone monochromat", as the trade calls it
const std::string& word_of(EyeType type);         // "l-cone-monochromat", for one word of a command line
EyeType eye_type_named(const std::string& word);  // throws InputError with the words that there are

// Gives the type of an eye. An eye whose L and M cones have the same sort of pigment is anomalous, whatever
// the shift.
EyeType type_of(const ObserverParameters& eye);

// Gives the eye that has three cones with pigments of their own sort and differs from `eye` in nothing else.
// If a pigment of another sort is taken out, its shift goes with it.
ObserverParameters as_trichromat(const ObserverParameters& eye);

// Gives the eye of that type. Everything else (field, age, deviations, source of curves) is as in
// as_trichromat(base).
ObserverParameters as_type(const ObserverParameters& base, EyeType type,
                           const AnomalousPigments& pigments = {});

// Gives the CIE's mean eye of the same field, age and source of curves, with three cones.
ObserverParameters mean_eye(const ObserverParameters& eye);
// Gives the same, but of the eye's own type: missing cones and anomalous pigments stay as they are.
ObserverParameters mean_eye_of_type(const ObserverParameters& eye);

}  // namespace isoseam
