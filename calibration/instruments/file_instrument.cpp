#include "calibration/instruments/file_instrument.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/errors.h"

namespace isoseam {
namespace {

std::string drive_words(const Drive& drive, const std::vector<std::string>& primaries) {
    std::string words;
    for (std::size_t i = 0; i < primaries.size(); ++i)
        words += fmt::format("{}{} {:.4g}", i == 0 ? "" : ", ", primaries[i],
                             drive.fractions[static_cast<Eigen::Index>(i)]);
    return words;
}

}  // namespace

bool same_drive(const Drive& a, const Drive& b) {
    return a.fractions.size() == b.fractions.size() &&
           (a.fractions - b.fractions).cwiseAbs().maxCoeff() <= kSameDrive;
}

FileInstrument::FileInstrument(Readings readings, std::string file)
    : readings_(std::move(readings)), file_(std::move(file)) {
    if (readings_.rows.empty())
        throw InputError(Fault{file_, 0, 0, "", "holds no reading", "name a table with one reading a row"});
    const PatchPlace whole_screen;
    tells_places_ = std::any_of(readings_.rows.begin(), readings_.rows.end(),
                                [&](const Reading& row) { return !same_place(row.place, whole_screen); });
}

InstrumentRecord FileInstrument::record() const {
    InstrumentRecord record;
    record.kind = "file";
    record.description = fmt::format("readings made elsewhere, {} rows of {}", readings_.rows.size(), file_);
    record.unit = readings_.unit;
    record.looks_at_screen = false;
    record.reading_s = 0.0;
    return record;
}

bool FileInstrument::answers(const Reading& row, const Drive& drive, const PatchPlace& place) const {
    return same_drive(row.drive, drive) && (!tells_places_ || same_place(row.place, place));
}

int FileInstrument::rows_of(const Drive& drive, const PatchPlace& place) const {
    return static_cast<int>(std::count_if(readings_.rows.begin(), readings_.rows.end(),
                                          [&](const Reading& row) { return answers(row, drive, place); }));
}

ReadingOutcome FileInstrument::read(const ShownPatch& shown) {
    int passed = 0;
    for (const Reading& row : readings_.rows) {
        if (!answers(row, shown.drive, shown.place))
            continue;
        if (passed == shown.same_before)
            return InstrumentSpectrum{readings_.wavelengths_nm, row.values};
        ++passed;
    }
    return ReadingFailure{Trouble::missing,
                          fmt::format("{} holds {} reading(s) of {}, and step {} asks for one more", file_,
                                      passed, drive_words(shown.drive, readings_.primaries), shown.step),
                          "measure it too, or leave the step out"};
}

}  // namespace isoseam
