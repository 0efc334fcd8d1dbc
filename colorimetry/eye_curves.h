#pragma once
// This header holds the curves that an eye is built of, each separately: absorbances of the pigments, macular
// pigment and lens. One model (observer_model.h) can use either of two sets of curves: the tables of CIE
// 170-1:2006 or the smooth formulae of Stockman & Rider 2023.

#include <Eigen/Core>

#include "colorimetry/observer.h"

namespace isoseam {

// A curve over wavelength in 1 nm steps. It has at most 491 samples, so that none is kept on the heap.
using EyeCurve = Eigen::Array<double, Eigen::Dynamic, 1, 0, Observer::kMostSamples, 1>;

struct EyeCurves {
    int first_nm = 0;
    int last_s_nm = 0;           // S absorbs nothing beyond
    EyeCurve wavelengths_nm;     // first_nm, first_nm + 1, ...
    EyeCurve macular;            // density over peak density
    EyeCurve ocular_ageing_32y;  // the part of lens and other ocular media that grows with age
    EyeCurve ocular_ageless;     // the part that does not
    int last_filtered_nm = 0;    // all three are 0 beyond
};
const EyeCurves& eye_curves(CurveSource source);

// Gives the low-density absorbance (peak about 1, not logarithmic) with its peak moved by the shift: A(w peak
// / (peak + shift)), so that the curve keeps its form over log wavelength. With tables, log absorbance is
// linear between the samples; beyond the ends, both sources continue in a straight line. S is 0 beyond
// last_s_nm, whatever the shift.
EyeCurve absorbance(CurveSource source, Pigment pigment, double shift_nm);

}  // namespace isoseam
