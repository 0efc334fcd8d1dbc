#pragma once
// Invented readings with awkward numbers, for round trips.

#include <cmath>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "base/random.h"
#include "calibration/readings.h"

namespace isoseam::test {

// Seeded; values of both signs over 600 decades, among them the smallest and the largest doubles.
inline Readings example_readings(std::vector<std::string> primaries = {"r", "g", "b"}) {
    const RandomStream random{11, 901};
    std::uint64_t draw = 0;
    Readings readings;
    readings.wavelengths_nm = {380.0, 384.1, 388.30000000000001, 730.0 + 1.0 / 3.0};
    readings.primaries = std::move(primaries);
    for (int i = 0; i < 40; ++i) {
        Reading row;
        row.drive.fractions.resize(static_cast<Eigen::Index>(readings.primaries.size()));
        for (double& fraction : row.drive.fractions)
            fraction = random.uniform(draw++);
        for (std::size_t k = 0; k < readings.wavelengths_nm.size(); ++k) {
            const double size = std::pow(10.0, 600.0 * random.uniform(draw++) - 300.0);
            row.values.push_back((random.uniform(draw++) < 0.5 ? -1.0 : 1.0) * size);
        }
        row.place = {random.uniform(draw++), 0.5, 1.0 - random.uniform(draw++), 0.25};
        row.at_s = 1e5 * random.uniform(draw++);
        row.step = i % 2 == 0 ? "ramp of r" : "";
        readings.rows.push_back(row);
    }
    readings.rows[0].values = {5e-324, 1.7976931348623157e308, -0.1, 0.0};
    readings.rows[0].drive.fractions.setZero();
    readings.rows[1].drive.fractions.setOnes();
    return readings;
}

// How two tables differ, "" if not at all. Lines of files are not compared.
inline std::string difference(const Readings& a, const Readings& b) {
    if (a.wavelengths_nm != b.wavelengths_nm || a.unit != b.unit || a.primaries != b.primaries ||
        a.rows.size() != b.rows.size()) {
        return "the tables' heads or sizes differ";
    }
    for (std::size_t i = 0; i < a.rows.size(); ++i) {
        const Reading& p = a.rows[i];
        const Reading& q = b.rows[i];
        if (p.drive.fractions != q.drive.fractions || p.values != q.values || p.at_s != q.at_s ||
            p.step != q.step || p.place.x != q.place.x || p.place.y != q.place.y ||
            p.place.width != q.place.width || p.place.height != q.place.height) {
            return "row " + std::to_string(i + 1) + " differs";
        }
    }
    return "";
}

}  // namespace isoseam::test
