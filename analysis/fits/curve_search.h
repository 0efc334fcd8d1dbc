#pragma once
// CurveSearch looks for the psychometric function under which the counts are most likely. All parameters are
// free, or one is held. The coordinates of the search are ln slope and, for the threshold, ln threshold of a
// weibull or the threshold itself of the other forms.

#include <vector>

#include "analysis/fits/psychometric_fit.h"
#include "analysis/statistics/box_maximum.h"

namespace isoseam {

enum class CurveParameter { threshold, slope };

struct CurveMaximum {
    PsychometricFunction curve;
    double log_likelihood = 0.0;  // minus infinity if no curve can give the counts
};

class CurveSearch {
  public:
    // `counts` must have no faults(), must be in order of level with each level once, and must outlive the
    // search.
    CurveSearch(const FitModel& model, const std::vector<LevelCount>& counts);

    CurveMaximum maximum() const;
    CurveMaximum maximum_at(CurveParameter parameter, double coordinate) const;

    double coordinate(CurveParameter parameter, const PsychometricFunction& curve) const;
    double value(CurveParameter parameter, double coordinate) const;
    // Gives positions in order, from one border of the search to the other. They lie close together where
    // levels were shown.
    const std::vector<double>& positions(CurveParameter parameter) const;
    double step(CurveParameter parameter) const;

  private:
    PsychometricFunction curve_at(const std::vector<double>& free, const CurveParameter* held,
                                  double coordinate) const;
    CurveMaximum search(const CurveParameter* held, double coordinate) const;

    FitModel model_;
    const std::vector<LevelCount>& counts_;
    BoxDimension threshold_;
    BoxDimension slope_;
    // The rates that are free: guess first, then lapse.
    std::vector<BoxDimension> rates_;
};

}  // namespace isoseam
