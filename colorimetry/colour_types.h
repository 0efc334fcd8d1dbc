#pragma once
// One type per kind of triple, so that mixing them does not compile.

#include <Eigen/Core>

namespace isoseam {

enum class Cone { l = 0, m = 1, s = 2 };

// Excitations of the three cone classes: the sum over wavelength of radiance (W/(sr m2 nm)) times the
// energy-based corneal sensitivity (peak 1) times 1 nm; so in W/(sr m2).
struct Lms {
    double l = 0.0;
    double m = 0.0;
    double s = 0.0;
    Eigen::Vector3d vector() const { return {l, m, s}; }
    static Lms from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
};

// CIE 1931 2 degree tristimulus values, with 683 lm/W: y is luminance in cd/m2.
struct Xyz {
    double x = 0.0;
    double y = 0.0;
    double z = 0.0;
    Eigen::Vector3d vector() const { return {x, y, z}; }
    static Xyz from_vector(const Eigen::Vector3d& v) { return {v[0], v[1], v[2]}; }
};

struct Chromaticity {
    double x = 0.0;
    double y = 0.0;
};

struct XyY {
    Chromaticity chromaticity;
    double luminance_cd_m2 = 0.0;
};

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

}  // namespace isoseam
