#include "calibration/formats/icc_profile.h"

#include <fmt/format.h>
#include <lcms2.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <type_traits>
#include <vector>

#include "base/errors.h"
#include "calibration/display_model.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using Context = std::unique_ptr<std::remove_pointer_t<cmsContext>, decltype(&cmsDeleteContext)>;
using Profile = std::unique_ptr<void, decltype(&cmsCloseProfile)>;
using Curve = std::unique_ptr<cmsToneCurve, decltype(&cmsFreeToneCurve)>;
using Text = std::unique_ptr<cmsMLU, decltype(&cmsMLUfree)>;

constexpr double kVersion = 4.3;  // ICC.1:2010

Curve tone_curve(cmsContext context, const ToneResponse& tone) {
    std::vector<cmsUInt16Number> entries(kIccToneEntries);
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const double drive = static_cast<double>(i) / (kIccToneEntries - 1);
        entries[i] = static_cast<cmsUInt16Number>(std::lround(65535.0 * tone.linear_from_drive(drive)));
    }
    return {cmsBuildTabulatedToneCurve16(context, kIccToneEntries, entries.data()), &cmsFreeToneCurve};
}

cmsCIExyY chromaticity_of(const Eigen::Vector3d& xyz) {
    const Chromaticity chromaticity = xyy_from_xyz(Xyz::from_vector(xyz)).chromaticity;
    return {chromaticity.x, chromaticity.y, 1.0};
}

// ICC text is UTF-16; Little CMS takes a wide character for each of its units.
std::wstring wide(const std::string& utf8) {
    const auto refuse = [&] {
        throw InputError("name", fmt::format("'{}' cannot stand in an ICC profile", utf8),
                         "use UTF-8 characters up to U+FFFF");
    };
    std::wstring result;
    for (std::size_t i = 0; i < utf8.size();) {
        const auto first = static_cast<unsigned char>(utf8[i]);
        const std::size_t length = first < 0x80 ? 1 : first >> 5 == 0b110 ? 2 : first >> 4 == 0b1110 ? 3 : 0;
        if (length == 0 || i + length > utf8.size())
            refuse();
        unsigned code = length == 1 ? first : first & (0x7fU >> length);
        for (std::size_t k = 1; k < length; ++k) {
            const auto next = static_cast<unsigned char>(utf8[i + k]);
            if (next >> 6 != 0b10)
                refuse();
            code = code << 6 | (next & 0x3fU);
        }
        result += static_cast<wchar_t>(code);
        i += length;
    }
    return result;
}

void write_text(cmsContext context, cmsHPROFILE profile, cmsTagSignature tag, const std::string& text) {
    const Text unicode(cmsMLUalloc(context, 1), &cmsMLUfree);
    ISOSEAM_CHECK(unicode && cmsMLUsetWide(unicode.get(), "en", "US", wide(text).c_str()) &&
                  cmsWriteTag(profile, tag, unicode.get()));
}

// Bytes 24 to 35 of a header are year, month, day, hour, minute, second, two bytes each (ICC.1, 7.2.8).
void set_date(std::string& bytes, const Day& day) {
    const std::array<int, 6> date{day.year, day.month, day.day, 0, 0, 0};
    for (std::size_t i = 0; i < date.size(); ++i) {
        bytes[24 + 2 * i] = static_cast<char>(date[i] / 256);
        bytes[25 + 2 * i] = static_cast<char>(date[i] % 256);
    }
}

std::string bytes_of(cmsHPROFILE profile) {
    cmsUInt32Number size = 0;
    ISOSEAM_CHECK(cmsSaveProfileToMem(profile, nullptr, &size));
    std::string bytes(size, '\0');
    ISOSEAM_CHECK(cmsSaveProfileToMem(profile, bytes.data(), &size));
    return bytes;
}

void require_matrix_and_tone(const Calibration& calibration, bool adds_up) {
    std::vector<Fault> faults;
    const auto report = [&](std::string found, std::string remedy) {
        faults.push_back(Fault{calibration.file, 0, 0, "primaries", std::move(found), std::move(remedy)});
    };
    if (calibration.primaries.size() != 3)
        report(fmt::format("{} primaries", calibration.primaries.size()),
               "an ICC matrix profile holds three: use the calibration file itself");
    if (!adds_up)
        report("the screen's channels interact",
               "an ICC matrix profile adds three primaries up and would be wrong: use the calibration file "
               "itself");
    throw_if_any(faults);
}

}  // namespace

std::string icc_profile(const Calibration& calibration, bool adds_up) {
    require_matrix_and_tone(calibration, adds_up);
    const DisplayModel display(calibration);
    const Eigen::Matrix3d matrix = display.xyz_from_linear();
    const cmsCIExyY white = chromaticity_of(matrix.rowwise().sum());
    const cmsCIExyYTRIPLE primaries = {chromaticity_of(matrix.col(0)), chromaticity_of(matrix.col(1)),
                                       chromaticity_of(matrix.col(2))};
    const Context context(cmsCreateContext(nullptr, nullptr), &cmsDeleteContext);
    const std::array<Curve, 3> curves{tone_curve(context.get(), display.tone(0)),
                                      tone_curve(context.get(), display.tone(1)),
                                      tone_curve(context.get(), display.tone(2))};
    cmsToneCurve* tones[] = {curves[0].get(), curves[1].get(), curves[2].get()};
    const Profile profile(cmsCreateRGBProfileTHR(context.get(), &white, &primaries, tones), &cmsCloseProfile);
    ISOSEAM_CHECK(profile != nullptr);
    cmsSetProfileVersion(profile.get(), kVersion);
    cmsSetHeaderRenderingIntent(profile.get(), INTENT_RELATIVE_COLORIMETRIC);
    write_text(context.get(), profile.get(), cmsSigProfileDescriptionTag,
               fmt::format("{}, measured {}{}", calibration.name, to_string(calibration.measured_on),
                           calibration.invented ? " (invented demo data: not for science)" : ""));
    write_text(context.get(), profile.get(), cmsSigCopyrightTag, "No copyright is claimed; use freely.");
    std::string bytes = bytes_of(profile.get());
    set_date(bytes, calibration.measured_on);
    return bytes;
}

}  // namespace isoseam
