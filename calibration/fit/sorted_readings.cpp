#include "calibration/fit/sorted_readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "base/errors.h"
#include "calibration/fit/reading_checks.h"
#include "calibration/fit/steadiness.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr size_t kFewestLevels = 3;
// A primary gives light when its full drive stands out of the noise of its sum by this factor...
constexpr double kStandsOut = 5.0;
// ... and is no less than this share of the strongest primary's.
constexpr double kLeastShare = 1e-4;
// Levels may fall by noise, and by this share of full light beyond it.
constexpr double kToleratedFall = 0.002;

bool same_centre(const PatchPlace& a, const PatchPlace& b) {
    constexpr double kNear = 0.02;
    return std::abs(a.x - b.x) < kNear && std::abs(a.y - b.y) < kNear;
}

bool is_white(const Reading& row) {
    return (row.drive.fractions.array() == 1.0).all();
}

Eigen::VectorXd light_of(const Reading& row) {
    return Eigen::Map<const Eigen::VectorXd>(row.values.data(), static_cast<Eigen::Index>(row.values.size()));
}

bool is_kept_out(const Reading& row) {
    return is_verification(row) || row.step.starts_with("warm_up");
}

// The rows at the usual patch, by how many primaries are lit.
struct Rows {
    std::vector<const Reading*> black, single, mixed;
};

Rows rows_by_kind(const Readings& readings, SortedReadings& sorted) {
    Rows rows;
    for (const Reading& row : readings.rows) {
        if (is_kept_out(row)) {
            ++sorted.left_out;
        } else if (!same_place(row.place, sorted.patch)) {
            const bool other_size = same_centre(row.place, sorted.patch);
            if (is_white(row))
                (other_size ? sorted.sizes : sorted.places).push_back({row.place, light_of(row)});
            else
                ++sorted.left_out;
        } else {
            const auto lit = (row.drive.fractions.array() > 0.0).count();
            (lit == 0 ? rows.black : lit == 1 ? rows.single : rows.mixed).push_back(&row);
        }
    }
    return rows;
}

Dark dark_of_rows(const std::vector<const Reading*>& rows) {
    Eigen::MatrixXd values(static_cast<Eigen::Index>(rows.size()),
                           static_cast<Eigen::Index>(rows.front()->values.size()));
    for (size_t i = 0; i < rows.size(); ++i)
        values.row(static_cast<Eigen::Index>(i)) = light_of(*rows[i]).transpose();
    return dark_of(values);
}

Drift drift_of_rows(const std::vector<const Reading*>& rows, const Dark& dark) {
    std::vector<const Reading*> whites;
    std::copy_if(rows.begin(), rows.end(), std::back_inserter(whites),
                 [](const Reading* row) { return is_white(*row); });
    std::stable_sort(whites.begin(), whites.end(),
                     [](const Reading* a, const Reading* b) { return a->at_s < b->at_s; });
    Eigen::VectorXd shape = Eigen::VectorXd::Zero(dark.mean.size());
    for (const Reading* row : whites)
        shape += light_of(*row) - dark.mean;
    std::vector<WhiteAtTime> lights;
    for (const Reading* row : whites)
        lights.push_back({row->at_s, (light_of(*row) - dark.mean).dot(shape)});
    return drift_of(lights);
}

void sort_ramps(const std::vector<const Reading*>& single, SortedReadings& sorted) {
    sorted.ramps.resize(sorted.primaries.size());
    for (ColourReadings& colour : grouped_by_drive(single, sorted.drift)) {
        Eigen::Index primary = 0;
        colour.drive.maxCoeff(&primary);
        sorted.ramps[static_cast<size_t>(primary)].push_back(std::move(colour));
    }
    for (size_t i = 0; i < sorted.ramps.size(); ++i) {
        std::sort(
            sorted.ramps[i].begin(), sorted.ramps[i].end(),
            [](const ColourReadings& a, const ColourReadings& b) { return a.drive.sum() < b.drive.sum(); });
    }
}

// Light of each level along the spectrum of full drive, relative to it, and the noise of that.
struct LevelLight {
    double light = 0.0;
    double noise = 0.0;
};
std::vector<LevelLight> level_lights(const std::vector<ColourReadings>& ramp, const Dark& dark) {
    const Eigen::VectorXd full = ramp.back().light - dark.mean;
    const double size = full.squaredNorm();
    std::vector<LevelLight> lights;
    for (const ColourReadings& level : ramp) {
        const double noise = full.cwiseProduct(dark.noise).norm() / size / std::sqrt(level.count());
        lights.push_back({full.dot(level.light - dark.mean) / size, noise});
    }
    return lights;
}

std::vector<Fault> faults_of_ramp(const SortedReadings& sorted, size_t primary, double strongest) {
    const std::vector<ColourReadings>& ramp = sorted.ramps[primary];
    const std::string& name = sorted.primaries[primary];
    const auto fault = [&](int line, std::string found, std::string remedy) {
        return std::vector<Fault>{{sorted.file, line, 0, name, std::move(found), std::move(remedy)}};
    };
    if (ramp.empty())
        return fault(0, "this primary was never read alone",
                     "read it at several drives with all others at 0");
    if (ramp.back().drive.maxCoeff() != 1.0)
        return fault(0, fmt::format("its highest drive is {}", ramp.back().drive.maxCoeff()),
                     "read it at drive 1 too");
    const Eigen::VectorXd full = ramp.back().light - sorted.dark.mean;
    const double noise = sorted.dark.noise.norm() / std::sqrt(ramp.back().count());
    if (!(full.sum() > kStandsOut * noise && full.sum() > kLeastShare * strongest))
        return fault(ramp.back().line, "this primary gives no light at full drive",
                     "check the cable, the picture mode and which column belongs to which primary");
    if (ramp.size() < kFewestLevels)
        return fault(
            ramp.back().line,
            fmt::format("{} levels above 0 are too few to tell how light follows drive", ramp.size()),
            fmt::format("read at least {}; a dozen, denser near black, is better", kFewestLevels));
    const std::vector<LevelLight> lights = level_lights(ramp, sorted.dark);
    std::vector<Fault> faults;
    for (size_t i = 1; i < ramp.size(); ++i) {
        const double fall = lights[i - 1].light - lights[i].light;
        const double tolerated = 3.0 * std::hypot(lights[i - 1].noise, lights[i].noise) +
                                 kToleratedFall * std::abs(lights[i].light);
        if (fall > tolerated) {
            faults.push_back(
                {sorted.file, ramp[i].line, 0, name,
                 fmt::format("light falls from {:.4g} to {:.4g} of full between drives {} and {}",
                             lights[i - 1].light, lights[i].light, ramp[i - 1].drive.maxCoeff(),
                             ramp[i].drive.maxCoeff()),
                 "read both again: a tone response must rise"});
        }
    }
    return faults;
}

// The fault of a table that was not made to be fitted. It names what the table is for and what it says.
Fault fault_of_watch_over_time(const Readings& readings, const std::string& file) {
    std::string says;
    if (const std::optional<Steadiness> steadiness = steadiness_of(readings)) {
        for (const std::string& sentence : steadiness_words(*steadiness))
            says += " " + sentence;
    }
    return {
        file,
        0,
        0,
        "",
        "these readings follow the screen over time, with one level of each primary: they say how long it "
        "takes to settle and how steady it stays, and no tone response can be fitted to them." +
            says,
        "fit the readings of 'isoseam display measure --plan full', or of --plan quick"};
}

void check_ramps(const SortedReadings& sorted, std::vector<Fault>& faults) {
    double strongest = 0.0;
    for (const std::vector<ColourReadings>& ramp : sorted.ramps) {
        if (!ramp.empty())
            strongest = std::max(strongest, (ramp.back().light - sorted.dark.mean).sum());
    }
    for (size_t i = 0; i < sorted.ramps.size(); ++i) {
        const std::vector<Fault> found = faults_of_ramp(sorted, i, strongest);
        faults.insert(faults.end(), found.begin(), found.end());
    }
}

}  // namespace

PatchPlace usual_patch(const Readings& readings) {
    std::vector<std::pair<PatchPlace, int>> counts;
    for (const Reading& row : readings.rows) {
        const auto known = std::find_if(counts.begin(), counts.end(), [&](const auto& entry) {
            return same_place(entry.first, row.place);
        });
        if (known == counts.end())
            counts.emplace_back(row.place, 1);
        else
            ++known->second;
    }
    return std::max_element(counts.begin(), counts.end(),
                            [](const auto& a, const auto& b) { return a.second < b.second; })
        ->first;
}

bool is_verification(const Reading& reading) {
    return reading.step.starts_with("verification");
}

const ColourReadings* SortedReadings::white() const {
    const auto found = std::find_if(mixtures.begin(), mixtures.end(), [](const ColourReadings& colour) {
        return (colour.drive.array() == 1.0).all();
    });
    return found == mixtures.end() ? nullptr : &*found;
}

std::vector<ColourReadings> grouped_by_drive(const std::vector<const Reading*>& rows, const Drift& drift) {
    std::map<std::vector<double>, std::vector<const Reading*>> by_drive;
    for (const Reading* row : rows)
        by_drive[{row->drive.fractions.begin(), row->drive.fractions.end()}].push_back(row);
    std::vector<ColourReadings> groups;
    for (const auto& [drive, members] : by_drive) {
        ColourReadings group;
        group.drive = members.front()->drive.fractions;
        group.line = members.front()->line;
        group.each.resize(static_cast<Eigen::Index>(members.size()),
                          static_cast<Eigen::Index>(members.front()->values.size()));
        for (size_t i = 0; i < members.size(); ++i) {
            group.each.row(static_cast<Eigen::Index>(i)) =
                light_of(*members[i]).transpose() / drift.gain_at(members[i]->at_s);
        }
        group.light = group.each.colwise().mean();
        groups.push_back(std::move(group));
    }
    return groups;
}

SortedReadings sort_readings(const Readings& readings, const std::string& file) {
    SortedReadings sorted;
    sorted.wavelengths_nm = readings.wavelengths_nm;
    sorted.primaries = readings.primaries;
    sorted.unit = readings.unit;
    sorted.file = file;
    sorted.patch = usual_patch(readings);
    const Rows rows = rows_by_kind(readings, sorted);
    std::vector<std::string> remarks;
    std::vector<Fault> faults = faults_of_wavelengths(readings, file, remarks);
    if (rows.black.empty()) {
        faults.push_back(
            {file, 0, 0, "", "no reading of black",
             "read the screen with all drives at 0, several times: black is subtracted from all others"});
        throw InputError(std::move(faults));
    }
    if (readings.wavelengths_nm.size() < 3)
        throw InputError(std::move(faults));
    if (follows_over_time(readings)) {
        faults.push_back(fault_of_watch_over_time(readings, file));
        throw InputError(std::move(faults));
    }
    sorted.dark = dark_of_rows(rows.black);
    sorted.drift = drift_of_rows(rows.mixed, sorted.dark);
    const std::vector<Fault> of_spectra = faults_of_spectra(readings, sorted.dark, file);
    faults.insert(faults.end(), of_spectra.begin(), of_spectra.end());
    sort_ramps(rows.single, sorted);
    sorted.mixtures = grouped_by_drive(rows.mixed, sorted.drift);
    check_ramps(sorted, faults);
    throw_if_any(faults);
    sorted.remarks = std::move(remarks);
    return sorted;
}

}  // namespace isoseam
