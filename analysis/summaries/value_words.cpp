#include "analysis/summaries/value_words.h"

#include <cmath>

#include "analysis/summaries/text_layout.h"

namespace isoseam {

std::string p_words(double p) {
    constexpr double kSmallestShown = 0.001;
    return p < kSmallestShown ? "<0.001" : fixed(p, 3);
}

std::string ratio_words(double ratio) {
    return std::isfinite(ratio) ? fixed(ratio, 2) : "no M";
}

}  // namespace isoseam
