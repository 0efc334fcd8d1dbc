#include "calibration/formats/tm27_readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string_view>
#include <utility>

#include "base/errors.h"
#include "base/text_scan.h"
#include "calibration/reading_table.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr int kMostPrimaries = 16;

std::string comments_of(const Readings& readings, const Reading& row, const ReadingExtras& extras) {
    std::string text;
    for (size_t i = 0; i < readings.primaries.size(); ++i)
        text += fmt::format("{}{}={}", i > 0 ? ", " : "", readings.primaries[i],
                            row.drive.fractions[static_cast<Eigen::Index>(i)]);
    if (extras.places)
        text += fmt::format(", x={}, y={}, width={}, height={}", row.place.x, row.place.y, row.place.width,
                            row.place.height);
    if (extras.seconds)
        text += fmt::format(", seconds={}", row.at_s);
    return extras.steps && !row.step.empty() ? text + ", step=" + row.step : text;
}

// "r" or "p1" at the place of the first primary, and so on.
bool may_be_primary(std::string_view name, size_t index) {
    return (index < 3 && name == std::string_view("rgb").substr(index, 1)) ||
           (index < kMostPrimaries && name == fmt::format("p{}", index + 1));
}

// Reads one file after the other and remembers what is wrong with each.
class Tm27ReadingsReader {
  public:
    void read(const NamedText& file) {
        try {
            add(parse_tm27_spectrum(file.text, file.name), file.name);
        } catch (const InputError& error) {
            faults_.insert(faults_.end(), error.faults().begin(), error.faults().end());
        }
    }

    Readings finished() {
        if (faults_.empty() && readings_.rows.empty())
            report({}, 0, "", "no file of a spectrum", "give one for each reading");
        throw_if_any(faults_);
        return std::move(readings_);
    }

  private:
    void report(const std::string& file, int line, std::string key, std::string found, std::string remedy) {
        faults_.push_back({file, line, 0, std::move(key), std::move(found), std::move(remedy)});
    }

    void add(const Tm27Spectrum& spectrum, const std::string& file) {
        const size_t before = faults_.size();
        Reading row;
        row.line = spectrum.comments_line;
        row.values = spectrum.spectrum.values();
        const std::vector<std::string> primaries = read_comments(spectrum, file, row);
        const ReadingUnit unit =
            spectrum.quantity == Tm27Quantity::radiance ? ReadingUnit::w_sr_m2_nm : ReadingUnit::counts;
        if (faults_.size() > before)
            return;
        if (readings_.rows.empty()) {
            readings_ = {spectrum.spectrum.wavelengths_nm(), unit, primaries, {}, {}};
        } else if (primaries != readings_.primaries) {
            report(file, row.line, "Comments", "other primaries than in the first file", kTogether);
        } else if (spectrum.spectrum.wavelengths_nm() != readings_.wavelengths_nm) {
            report(file, 0, "SpectralData", "other wavelengths than in the first file", kTogether);
        } else if (unit != readings_.unit) {
            report(file, 0, "SpectralQuantity", "another quantity than in the first file", kTogether);
        }
        readings_.rows.push_back(std::move(row));
    }

    std::vector<std::string> read_comments(const Tm27Spectrum& spectrum, const std::string& file,
                                           Reading& row) {
        std::vector<std::string> primaries;
        std::vector<double> drives;
        std::string_view rest = spectrum.header.comments;
        while (!rest.empty()) {
            const size_t end = std::min(rest.find(','), rest.size());
            const std::string_view item = trimmed(rest.substr(0, end));
            rest.remove_prefix(std::min(end + 1, rest.size()));
            const size_t equals = std::min(item.find('='), item.size());
            const std::string name(item.substr(0, equals));
            const std::string value(item.substr(std::min(equals + 1, item.size())));
            const std::optional<double> number = finite_number(value);
            const bool primary = may_be_primary(name, primaries.size());
            if (primary && number && *number >= 0.0 && *number <= 1.0) {
                primaries.push_back(name);
                drives.push_back(*number);
            } else if (primary || !read_extra(name, value, number, row)) {
                report(file, spectrum.comments_line, "Comments", fmt::format("'{}'", item),
                       "write the drives, from 0 to 1, as in: r=1, g=0.5, b=0");
            }
        }
        if (primaries.size() < 3)
            report(file, spectrum.comments_line, "Comments",
                   fmt::format("drives of {} primaries", primaries.size()),
                   "write what drove the screen into the header, as in <Comments>r=1, g=0.5, b=0</Comments>");
        row.drive.fractions =
            Eigen::Map<const Eigen::VectorXd>(drives.data(), static_cast<Eigen::Index>(drives.size()));
        return primaries;
    }

    static bool read_extra(const std::string& name, const std::string& value,
                           const std::optional<double>& number, Reading& row) {
        if (name == "step" && is_step(value)) {
            row.step = value;
            return true;
        }
        const std::pair<const char*, double*> extras[] = {{"x", &row.place.x},
                                                          {"y", &row.place.y},
                                                          {"width", &row.place.width},
                                                          {"height", &row.place.height},
                                                          {"seconds", &row.at_s}};
        for (const auto& [extra, target] : extras) {
            if (name != extra || !number)
                continue;
            const bool extent = target == &row.place.width || target == &row.place.height;
            *target = *number;
            return target == &row.at_s || (*number <= 1.0 && (extent ? *number > 0.0 : *number >= 0.0));
        }
        return false;
    }

    static constexpr const char* kTogether = "keep the files of one table together, and no others";

    Readings readings_;
    std::vector<Fault> faults_;
};

}  // namespace

std::vector<NamedText> tm27_files(const Readings& readings, const Tm27Header& header) {
    const ReadingExtras extras = extras_of(readings);
    std::vector<NamedText> files;
    for (const Reading& row : readings.rows) {
        Tm27Spectrum spectrum;
        spectrum.header = header;
        spectrum.header.comments = comments_of(readings, row, extras);
        spectrum.quantity =
            readings.unit == ReadingUnit::w_sr_m2_nm ? Tm27Quantity::radiance : Tm27Quantity::relative;
        spectrum.spectrum = spectrum_of(readings, row);
        files.push_back({fmt::format("reading_{:04}.spdx", files.size() + 1), tm27_text(spectrum)});
    }
    return files;
}

Readings readings_from_tm27(const std::vector<NamedText>& files) {
    Tm27ReadingsReader reader;
    for (const NamedText& file : files)
        reader.read(file);
    return reader.finished();
}

}  // namespace isoseam
