// Names and structure are held to our memory of IES TM-27-14, not to its schema.

#include "calibration/formats/tm27_spectrum.h"

#include <catch2/catch.hpp>
#include <utility>

#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;
using Catch::Matchers::Contains;

namespace {

const std::string kSound =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"                             // line 1
    "<IESTM2714 xmlns=\"http://www.ies.org/iestm2714\" version=\"1.0\">\n"     // 2
    "  <Header>\n"                                                             // 3
    "    <Description>a &lt;light&gt;</Description>\n"                         // 4
    "    <DocumentCreator>a lab</DocumentCreator>\n"                           // 5
    "    <DocumentCreationDate>2026-11-20T00:00:00Z</DocumentCreationDate>\n"  // 6
    "    <Comments>r=1, g=0, b=0</Comments>\n"                                 // 7
    "  </Header>\n"                                                            // 8
    "  <SpectralDistribution>\n"                                               // 9
    "    <SpectralQuantity>radiance</SpectralQuantity>\n"                      // 10
    "    <BandwidthFWHM>4.0</BandwidthFWHM>\n"                                 // 11
    "    <SpectralData wavelength=\"380.0\">0.5</SpectralData>\n"              // 12
    "    <SpectralData wavelength=\"385.0\">-1e-3</SpectralData>\n"            // 13
    "  </SpectralDistribution>\n"                                              // 14
    "</IESTM2714>\n";                                                          // 15

std::string changed(const std::string& from, const std::string& to) {
    std::string text = kSound;
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

std::string fault_of(const std::string& text) {
    return input_error_text([&] { parse_tm27_spectrum(text, "a.spdx"); });
}

}  // namespace

TEST_CASE("a spectrum goes through IES TM-27 and back, bit by bit") {
    Tm27Spectrum spectrum;
    spectrum.header = {
        "<a> & \"b\" \xC3\xBC", "c", "2026-11-20", "d", "e", "f", "g", "h", "i", "j", "k, l=1"};
    spectrum.quantity = Tm27Quantity::relative;
    spectrum.spectrum = Spectrum::from_signed_w_sr_m2_nm({380.0, 384.1, 400.0 + 1.0 / 3.0, 780.0},
                                                         {5e-324, -0.1, 1.7976931348623157e308, 1.0 / 3.0});
    const std::string text = tm27_text(spectrum);
    const Tm27Spectrum back = parse_tm27_spectrum(text, "a.spdx");
    CHECK(back.quantity == Tm27Quantity::relative);
    CHECK(back.spectrum.wavelengths_nm() == spectrum.spectrum.wavelengths_nm());
    CHECK(back.spectrum.values() == spectrum.spectrum.values());
    CHECK(back.header.description == spectrum.header.description);
    CHECK(back.header.comments == "k, l=1");
    CHECK(tm27_text(back) == text);
}

TEST_CASE("an IES TM-27 file from elsewhere is read") {
    const Tm27Spectrum spectrum = parse_tm27_spectrum(kSound, "a.spdx");
    CHECK(spectrum.quantity == Tm27Quantity::radiance);
    CHECK(spectrum.spectrum.wavelengths_nm() == std::vector<double>{380.0, 385.0});
    CHECK(spectrum.spectrum.values() == std::vector<double>{0.5, -1e-3});
    CHECK(spectrum.header.description == "a <light>");
    CHECK(spectrum.comments_line == 7);
}

TEST_CASE("every fault of an IES TM-27 file is told with its line") {
    const std::pair<std::string, std::string> cases[] = {
        {changed("</Header>", ""), "damaged XML"},
        {changed("<IESTM2714", "<SPD") + "", "damaged XML"},
        {"<SPD/>", "a.spdx:1: the root element is 'SPD'; this program reads IESTM2714, version 1.0"},
        {changed("version=\"1.0\">", "version=\"2.0\">"), "a.spdx:2: version: '2.0'"},
        {changed("iestm2714\"", "iestm2799\""), "a.spdx:2: xmlns: 'http://www.ies.org/iestm2799'"},
        {changed("    <Description>a &lt;light&gt;</Description>\n", ""), "a.spdx:3: Header: no Description"},
        {changed("a lab", " "), "a.spdx:5: Header: empty DocumentCreator"},
        {changed("<Comments>r=1, g=0, b=0</Comments>", "<Coments>r</Coments>"),
         "a.spdx:7: Header: unknown element 'Coments'; did you mean 'Comments'?"},
        {changed("<Comments>", "<Comments lang=\"en\">"), "a.spdx:7: Comments: unknown attribute 'lang'"},
        {changed("<Comments>r=1, g=0, b=0", "<Comments>r<b/>"), "a.spdx:7: Comments: unknown element 'b'"},
        {changed("  </Header>", "  </Header>\nstray"), "IESTM2714: text 'stray' between elements"},
        {changed("radiance", "flux"),
         "a.spdx:10: SpectralQuantity: 'flux'; a screen is described by radiance"},
        {changed("    <SpectralQuantity>radiance</SpectralQuantity>\n", ""),
         "a.spdx:9: SpectralDistribution: no element SpectralQuantity"},
        {changed("4.0<", "four<"), "a.spdx:11: BandwidthFWHM: 'four'"},
        {changed("wavelength=\"380.0\"", "wavelength=\"x\""), "a.spdx:12: SpectralData: wavelength 'x'"},
        {changed("wavelength=\"380.0\"", "nm=\"380.0\""), "a.spdx:12: SpectralData: unknown attribute 'nm'"},
        {changed("\"385.0\"", "\"380.0\""), "a.spdx:13: SpectralData: 380 nm follows 380 nm"},
        {changed(">0.5<", "><"), "a.spdx:12: SpectralData: ''; write a finite number"},
        {changed(">0.5<", ">nan<"), "a.spdx:12: SpectralData: 'nan'; write a finite number"},
        {changed("    <SpectralData wavelength=\"385.0\">-1e-3</SpectralData>\n", ""),
         "a.spdx:9: SpectralDistribution: 1 elements SpectralData"},
        {kSound + kSound.substr(kSound.find('\n') + 1), "a.spdx:16: "},
        {"", "a.spdx:1: damaged XML"},
    };
    for (const auto& [text, wanted] : cases) {
        CAPTURE(text);
        CHECK_THAT(fault_of(text), Contains(wanted));
    }
    std::string two = changed("radiance", "flux");
    two.replace(two.find("0.5"), 3, "x");
    CHECK_THAT(fault_of(two), Contains("a.spdx:10:") && Contains("a.spdx:12:"));
}

TEST_CASE("an IES TM-27 file that breaks off anywhere is refused") {
    for (std::size_t size = 0; size < kSound.size() - 2; ++size) {
        CAPTURE(size);
        CHECK(fault_of(kSound.substr(0, size)) != "no error");
    }
}

TEST_CASE("an IES TM-27 header needs its mandatory texts and takes no control characters") {
    Tm27Spectrum spectrum = parse_tm27_spectrum(kSound, "a.spdx");
    spectrum.header.laboratory = "\x01";
    CHECK_THAT(input_error_text([&] { tm27_text(spectrum); }), Contains("Laboratory: a control character"));
    spectrum.header.document_creator = "";
    CHECK_THAT(input_error_text([&] { tm27_text(spectrum); }), Contains("Header: no DocumentCreator"));
}
