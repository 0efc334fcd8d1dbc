#pragma once
// There is one type for each kind of triple, so that mixing them does not compile.
//
//     const Xyz white{95.0, 100.0, 108.9};    // CIE 1931; Lms, Lab, ConeContrast ... are made alike

#include <Eigen/Core>

namespace isoseam {

enum class Cone { l = 0, m = 1, s = 2 };

// These are the excitations of the three cone classes: the sum over wavelength of radiance (W/(sr m2 nm))
// times the energy-based corneal sensitivity (peak 1) times 1 nm. Their unit is therefore W/(sr m2).
struct Lms {
    double l = 0.0;
    double m = 0.0;
    double s = 0.0;
    Eigen::Vector3d vector() const { return {l, m, s}; }
    static Lms from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
};

// The CIE's colour-matching functions. Values that belong to different ones are different types, since a
// light has other tristimulus values, another chromaticity and another CIELAB colour for each.
enum class ColourMatching {
    cie1931_2deg,   // CIE 1931 standard observer
    cie1964_10deg,  // CIE 1964 standard observer
    cie2015_2deg,   // CIE 170-2:2015, transformed from the cone fundamentals for 2 degrees and 32 years
    cie2015_10deg,  // the same for 10 degrees
};

// Tristimulus values with 683 lm/W. y is a luminance in cd/m2 by that observer's y function; photometry's own
// luminance is that of CIE 1931.
template <ColourMatching Of>
struct TristimulusOf {
    double x = 0.0;
    double y = 0.0;
    double z = 0.0;
    Eigen::Vector3d vector() const { return {x, y, z}; }
    static TristimulusOf from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
};

template <ColourMatching Of>
struct ChromaticityOf {
    double x = 0.0;
    double y = 0.0;
};

template <ColourMatching Of>
struct XyYOf {
    ChromaticityOf<Of> chromaticity;
    double luminance_cd_m2 = 0.0;
};

// CIE 1976 uniform chromaticity scale, and luminance.
template <ColourMatching Of>
struct UniformChromaticityOf {
    double u_prime = 0.0;
    double v_prime = 0.0;
    double luminance_cd_m2 = 0.0;
};

// CIE 1976 L*, a*, b*, relative to a white that the user of the type keeps beside it.
template <ColourMatching Of>
struct LabOf {
    double l_star = 0.0;
    double a_star = 0.0;
    double b_star = 0.0;
    Eigen::Vector3d vector() const { return {l_star, a_star, b_star}; }
    static LabOf from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
};

// Where no observer is named, it is CIE 1931.
using Xyz = TristimulusOf<ColourMatching::cie1931_2deg>;
using Chromaticity = ChromaticityOf<ColourMatching::cie1931_2deg>;
using XyY = XyYOf<ColourMatching::cie1931_2deg>;
using UniformChromaticity = UniformChromaticityOf<ColourMatching::cie1931_2deg>;
using Lab = LabOf<ColourMatching::cie1931_2deg>;

// MacLeod-Boynton chromaticity (CIE 170-2:2015: l + m = 1, s with a spectral maximum of 1) and luminance by
// the observer's own V_F, in cd/m2.
struct MacLeodBoynton {
    double l = 0.0;
    double s = 0.0;
    double luminance_cd_m2 = 0.0;
    double m() const { return 1.0 - l; }
};

// (target - background) / background for each cone; 0.05 is 5 %.
struct ConeContrast {
    double l = 0.0;
    double m = 0.0;
    double s = 0.0;
    Eigen::Vector3d vector() const { return {l, m, s}; }
    static ConeContrast from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
    double length() const { return vector().norm(); }
};

// A contrast along three axes that each change one thing: luminance at constant chromaticity, L against M at
// constant luminance and constant S, S alone. The normalisation is pooled cone contrast: 1 on one axis alone
// is a cone contrast of length 1. See pooled_cardinal_contrast.h.
struct PooledCardinalContrast {
    double luminance = 0.0;
    double l_minus_m = 0.0;
    double s = 0.0;
    Eigen::Vector3d vector() const { return {luminance, l_minus_m, s}; }
    static PooledCardinalContrast from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
};

}  // namespace isoseam
