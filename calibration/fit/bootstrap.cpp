#include "calibration/fit/bootstrap.h"

#include <algorithm>
#include <cmath>

#include "base/errors.h"
#include "base/random.h"

namespace isoseam {
namespace {

using std::size_t;

// Repeats of bright readings from this many degrees of freedom on tell the gain's scatter better than
// residuals.
constexpr double kEnoughRepeats = 5.0;
// Levels below this share of full light say little about a factor.
constexpr double kBright = 0.02;

Eigen::ArrayXd variance_at(const ReadingNoise& noise, const Eigen::VectorXd& light) {
    return noise.dark.array().square() + (noise.share * light.array()).square();
}

// The variance that independent samples lend to a reading's factor, when that is found by projection on its
// own light.
double projected_variance(const ReadingNoise& noise, const Eigen::VectorXd& light) {
    const double size = light.squaredNorm();
    return (light.array().square() * variance_at(noise, light)).sum() / (size * size);
}

// Residuals of a ramp's levels from multiples of its spectrum, each multiplied so that it is as large as one
// reading's would be before the fit of the spectrum took its share; and the share of each sample in the fit
// of its level, which takes more: of independent noise of variance v, it leaves v (1 - 2 share) + share
// sum(share v).
template <class Use>
void for_each_residual(const EmissionFit& fit, const SortedReadings& readings, Use use) {
    for (size_t i = 0; i < readings.ramps.size(); ++i) {
        const RampFit& ramp = fit.ramps[i];
        const Eigen::ArrayXd shares = ramp.spectrum.array().square() / ramp.spectrum.squaredNorm();
        double total = 0.0;
        for (size_t k = 0; k < readings.ramps[i].size(); ++k)
            total += readings.ramps[i][k].count() * ramp.levels[static_cast<Eigen::Index>(k)] *
                     ramp.levels[static_cast<Eigen::Index>(k)];
        for (size_t k = 0; k < readings.ramps[i].size(); ++k) {
            const ColourReadings& level = readings.ramps[i][k];
            const double relative = ramp.levels[static_cast<Eigen::Index>(k)];
            const double kept = 1.0 - level.count() * relative * relative / total;
            constexpr double kTooFewDegrees = 0.05;
            if (!(kept > kTooFewDegrees))
                continue;
            const Eigen::VectorXd light = relative * ramp.spectrum;
            const Eigen::ArrayXd residual =
                (level.light - fit.black - light).array() * std::sqrt(level.count() / kept);
            use(light, residual, shares);
        }
    }
}

double share_of_noise(const EmissionFit& fit, const SortedReadings& readings, const Eigen::VectorXd& dark) {
    double excess = 0.0;
    double light_squared = 0.0;
    for_each_residual(
        fit, readings,
        [&](const Eigen::VectorXd& light, const Eigen::ArrayXd& residual, const Eigen::ArrayXd& shares) {
            excess += residual.square().sum() - (dark.array().square() * (1.0 - shares)).sum();
            light_squared += (light.array().square() * (1.0 - shares)).sum();
        });
    return light_squared > 0.0 ? std::sqrt(std::max(0.0, excess) / light_squared) : 0.0;
}

std::vector<double> pool_of(const EmissionFit& fit, const SortedReadings& readings,
                            const ReadingNoise& noise) {
    std::vector<double> pool;
    for_each_residual(
        fit, readings,
        [&](const Eigen::VectorXd& light, const Eigen::ArrayXd& residual, const Eigen::ArrayXd& shares) {
            const Eigen::ArrayXd variance = variance_at(noise, light);
            if (!(variance.maxCoeff() > 0.0))
                return;  // readings without noise
            const Eigen::ArrayXd left = variance * (1.0 - 2.0 * shares) + shares * (shares * variance).sum();
            const Eigen::ArrayXd scaled = residual / left.max(0.1 * variance).max(1e-300).sqrt();
            pool.insert(pool.end(), scaled.begin(), scaled.end());
        });
    Eigen::Map<Eigen::ArrayXd> values(pool.data(), static_cast<Eigen::Index>(pool.size()));
    if (values.size() > 0) {
        values -= values.mean();
        const double size = std::sqrt(values.square().mean());
        values /= size > 0.0 ? size : 1.0;
    }
    return pool;
}

struct GainVariance {
    double sum = 0.0;
    double degrees = 0.0;
    double value() const { return degrees > 0.0 ? std::max(0.0, sum / degrees) : 0.0; }
};

// The variance of the gain from readings of the same colour.
GainVariance gain_from_repeats(const EmissionFit& fit, const SortedReadings& readings,
                               const ReadingNoise& noise) {
    GainVariance variance;
    const auto add = [&](const ColourReadings& colour) {
        const Eigen::VectorXd light = colour.light - fit.black;
        if (colour.each.rows() < 2 || !(light.sum() > kBright * fit.primaries.colwise().sum().maxCoeff()))
            return;
        const Eigen::VectorXd factors =
            (colour.each.rowwise() - fit.black.transpose()) * light / light.squaredNorm();
        const double degrees = colour.count() - 1.0;
        variance.sum +=
            (factors.array() - factors.mean()).square().sum() - degrees * projected_variance(noise, light);
        variance.degrees += degrees;
    };
    for (const std::vector<ColourReadings>& ramp : readings.ramps)
        std::for_each(ramp.begin(), ramp.end(), add);
    std::for_each(readings.mixtures.begin(), readings.mixtures.end(), add);
    return variance;
}

// The variance of the gain from how the levels depart from the tone responses.
GainVariance gain_from_tones(const EmissionFit& fit, const SortedReadings& readings,
                             const ReadingNoise& noise) {
    GainVariance variance;
    for (size_t i = 0; i < readings.ramps.size(); ++i) {
        const double parameters = static_cast<double>(fit.tones[i].parameters().size()) + 1.0;
        if (fit.tones[i].form() == ToneForm::points)
            continue;
        GainVariance of_ramp;
        const Eigen::VectorXd spectrum = fit.primaries.col(static_cast<Eigen::Index>(i));
        const double scale = spectrum.norm() / fit.ramps[i].spectrum.norm();
        for (size_t k = 0; k < readings.ramps[i].size(); ++k) {
            const ColourReadings& level = readings.ramps[i][k];
            const double curve = scale * fit.tones[i].linear_from_drive(level.drive.maxCoeff());
            if (!(curve > kBright))
                continue;
            const double error = fit.ramps[i].levels[static_cast<Eigen::Index>(k)] / curve - 1.0;
            of_ramp.sum +=
                level.count() * error * error - projected_variance(noise, curve / scale * spectrum);
            of_ramp.degrees += 1.0;
        }
        if (of_ramp.degrees > parameters) {
            variance.sum += of_ramp.sum;
            variance.degrees += of_ramp.degrees - parameters;
        }
    }
    return variance;
}

// Counts draws, so that each is used once in its replicate.
class Draws {
  public:
    Draws(std::uint64_t seed, int replicate)
        : stream_{seed, kStreamScreenFit}, next_(static_cast<std::uint64_t>(replicate) << 32U) {}
    double normal() { return stream_.normal(next_++); }
    double from(const std::vector<double>& pool) {
        return pool.empty() ? normal() : pool[stream_.below(next_++, pool.size())];
    }

  private:
    RandomStream stream_;
    std::uint64_t next_;
};

// `common` is a factor of all readings.
void redraw(ColourReadings& colour, const EmissionFit& fit, const ReadingNoise& noise, double common,
            Draws& draws) {
    const Eigen::VectorXd light = fit.light(colour.drive) - fit.black;
    const double averaged = 1.0 / std::sqrt(colour.count());
    const double factor = common * (1.0 + noise.gain * averaged * draws.normal());
    const Eigen::ArrayXd sd = variance_at(noise, light).sqrt() * averaged;
    for (Eigen::Index i = 0; i < light.size(); ++i)
        colour.light[i] = fit.black[i] + light[i] * factor + sd[i] * draws.from(noise.sample_pool);
}

SortedReadings redrawn(const SortedReadings& readings, const EmissionFit& fit, const ReadingNoise& noise,
                       Draws draws) {
    SortedReadings result = readings;
    const double averaged = 1.0 / std::sqrt(static_cast<double>(readings.dark.readings));
    for (Eigen::Index i = 0; i < result.dark.mean.size(); ++i)
        result.dark.mean[i] = fit.black[i] + noise.dark[i] * averaged * draws.from(noise.sample_pool);
    const double common = 1.0 + readings.drift.gain_sd * draws.normal();
    for (std::vector<ColourReadings>& ramp : result.ramps) {
        for (ColourReadings& level : ramp)
            redraw(level, fit, noise, common, draws);
    }
    for (ColourReadings& mixture : result.mixtures)
        redraw(mixture, fit, noise, common, draws);
    return result;
}

// The numbers that get an uncertainty, in the form of one. The light at the points of a curve is that at
// the original's drives: a replicate may have left out a level that did not rise.
Uncertainty numbers_of(const EmissionFit& fit, const EmissionFit& original, const ResponseWeights& weights) {
    Uncertainty numbers;
    numbers.black = fit.black;
    numbers.primaries = fit.primaries;
    numbers.term_spectra = fit.term_spectra;
    numbers.white_xyz = weights.xyz * fit.light(Eigen::VectorXd::Ones(fit.primaries.cols()));
    numbers.primaries_xyz = weights.xyz * fit.primaries;
    numbers.primaries_lms = weights.lms * fit.primaries;
    numbers.linear_at_quarters.resize(3, fit.primaries.cols());
    for (size_t i = 0; i < fit.tones.size(); ++i) {
        const ToneResponse& tone = fit.tones[i];
        if (original.tones[i].form() == ToneForm::points) {
            std::vector<double>& linear = numbers.tones.emplace_back();
            for (const double drive : original.tones[i].drives())
                linear.push_back(tone.linear_from_drive(drive));
        } else {
            numbers.tones.push_back(tone.parameters());
        }
        for (Eigen::Index quarter = 1; quarter <= 3; ++quarter)
            numbers.linear_at_quarters(quarter - 1, static_cast<Eigen::Index>(i)) =
                tone.linear_from_drive(0.25 * static_cast<double>(quarter));
    }
    return numbers;
}

// Calls use(first, count) for each run of numbers: the one list of what gets an uncertainty.
template <class Numbers, class Use>
void for_each_run(Numbers& numbers, Use use) {
    use(numbers.black.data(), numbers.black.size());
    use(numbers.primaries.data(), numbers.primaries.size());
    for (auto& tone : numbers.tones)
        use(tone.data(), static_cast<Eigen::Index>(tone.size()));
    for (auto* matrix :
         {&numbers.term_spectra, &numbers.primaries_xyz, &numbers.primaries_lms, &numbers.linear_at_quarters})
        use(matrix->data(), matrix->size());
    use(numbers.white_xyz.data(), numbers.white_xyz.size());
}

Eigen::ArrayXd values_of(const Uncertainty& numbers) {
    std::vector<double> values;
    for_each_run(numbers, [&](const double* first, Eigen::Index count) {
        values.insert(values.end(), first, first + count);
    });
    return Eigen::Map<const Eigen::ArrayXd>(values.data(), static_cast<Eigen::Index>(values.size()));
}

// The inverse of values_of(): `numbers` has the sizes already.
void put(Uncertainty& numbers, const Eigen::ArrayXd& values) {
    const double* next = values.data();
    for_each_run(numbers, [&](double* first, Eigen::Index count) {
        std::copy(next, next + count, first);
        next += count;
    });
}

}  // namespace

ReadingNoise noise_of(const EmissionFit& fit, const SortedReadings& readings) {
    ReadingNoise noise;
    noise.dark = readings.dark.noise;
    noise.share = share_of_noise(fit, readings, noise.dark);
    noise.sample_pool = pool_of(fit, readings, noise);
    const GainVariance repeats = gain_from_repeats(fit, readings, noise);
    noise.gain_from_repeats = repeats.degrees >= kEnoughRepeats;
    noise.gain =
        std::sqrt(noise.gain_from_repeats ? repeats.value() : gain_from_tones(fit, readings, noise).value());
    return noise;
}

Uncertainty bootstrap(const EmissionFit& fit, const SortedReadings& readings, const ResponseWeights& weights,
                      const ReadingNoise& noise, int replicates, std::uint64_t seed) {
    ISOSEAM_CHECK_GE(replicates, 2);
    EmissionForm form;
    form.terms = fit.terms;
    for (const ToneResponse& tone : fit.tones)
        form.tones.push_back(tone.form());
    Uncertainty uncertainty = numbers_of(fit, fit, weights);
    const Eigen::ArrayXd centre = values_of(uncertainty);
    Eigen::ArrayXd sum = Eigen::ArrayXd::Zero(centre.size());
    Eigen::ArrayXd sum_of_squares = sum;
    for (int i = 0; i < replicates; ++i) {
        const SortedReadings again = redrawn(readings, fit, noise, Draws(seed, i));
        const Eigen::ArrayXd departure =
            values_of(numbers_of(fit_emission(again, form), fit, weights)) - centre;
        sum += departure;
        sum_of_squares += departure.square();
    }
    const auto count = static_cast<double>(replicates);
    const Eigen::ArrayXd variance = (sum_of_squares - sum.square() / count) / (count - 1.0);
    put(uncertainty, variance.max(0.0).sqrt());
    uncertainty.replicates = replicates;
    return uncertainty;
}

}  // namespace isoseam
