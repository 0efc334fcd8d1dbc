#include "calibration/formats/tm27_spectrum.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <optional>
#include <pugixml.hpp>
#include <sstream>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "base/text_scan.h"
#include "calibration/reading_table.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr const char* kRoot = "IESTM2714";
constexpr const char* kNamespace = "http://www.ies.org/iestm2714";
constexpr const char* kVersion = "1.0";

struct HeaderElement {
    const char* name;
    std::string Tm27Header::*text;
    bool mandatory;
};

// These stand in the order of the document.
constexpr HeaderElement kHeader[] = {
    {"Manufacturer", &Tm27Header::manufacturer, false},
    {"CatalogNumber", &Tm27Header::catalog_number, false},
    {"Description", &Tm27Header::description, true},
    {"DocumentCreator", &Tm27Header::document_creator, true},
    {"FileIdentifier", &Tm27Header::file_identifier, false},
    {"UniqueIdentifier", &Tm27Header::unique_identifier, false},
    {"DocumentCreationDate", &Tm27Header::document_creation_date, true},
    {"Laboratory", &Tm27Header::laboratory, false},
    {"ReportNumber", &Tm27Header::report_number, false},
    {"ReportDate", &Tm27Header::report_date, false},
    {"Comments", &Tm27Header::comments, false},
};

const char* quantity_text(Tm27Quantity quantity) {
    return quantity == Tm27Quantity::radiance ? "radiance" : "relative";
}

class Tm27Reader {
  public:
    Tm27Reader(std::string_view text, std::string file) : text_(text), file_(std::move(file)) {}

    Tm27Spectrum read() {
        pugi::xml_document document;
        const pugi::xml_parse_result result =
            document.load_buffer(text_.data(), text_.size(), pugi::parse_default, pugi::encoding_utf8);
        if (!result) {
            report(line_at(result.offset), "", fmt::format("damaged XML: {}", result.description()),
                   "fetch the whole file again");
        } else {
            read_root(document);
        }
        throw_if_any(faults_);
        result_.spectrum = Spectrum::from_signed_w_sr_m2_nm(wavelengths_nm_, values_);
        return result_;
    }

  private:
    void report(int line, std::string key, std::string found, std::string remedy) {
        faults_.push_back({file_, line, 0, std::move(key), std::move(found), std::move(remedy)});
    }

    int line_at(std::ptrdiff_t offset) const {
        const size_t end = std::min(offset < 0 ? 0 : static_cast<size_t>(offset), text_.size());
        return 1 + static_cast<int>(
                       std::count(text_.begin(), text_.begin() + static_cast<std::ptrdiff_t>(end), '\n'));
    }
    int line_of(const pugi::xml_node& node) const { return line_at(node.offset_debug()); }

    void read_root(const pugi::xml_document& document) {
        const pugi::xml_node root = document.document_element();
        if (root.name() != std::string(kRoot)) {
            report(line_of(root), "", fmt::format("the root element is '{}'", root.name()),
                   fmt::format("this program reads {}, version {}", kRoot, kVersion));
            return;
        }
        check_attributes(root, {"xmlns", "version", "xmlns:xsi", "xsi:schemaLocation"});
        check_root_attribute(root, "version", kVersion);
        check_root_attribute(root, "xmlns", kNamespace);
        check_children(root, {"Header", "SpectralDistribution"}, {});
        check_children(document, {kRoot}, {});
        if (const pugi::xml_node header = needed(root, "Header"))
            read_header(header);
        if (const pugi::xml_node distribution = needed(root, "SpectralDistribution"))
            read_distribution(distribution);
    }

    void check_root_attribute(const pugi::xml_node& root, const char* name, const std::string& wanted) {
        const std::string found = root.attribute(name).value();
        if (found != wanted)
            report(line_of(root), name, found.empty() ? "missing" : fmt::format("'{}'", found),
                   fmt::format("this program reads {}=\"{}\"", name, wanted));
    }

    pugi::xml_node needed(const pugi::xml_node& parent, const char* name) {
        const pugi::xml_node child = parent.child(name);
        if (!child)
            report(line_of(parent), parent.name(), fmt::format("no element {}", name),
                   "the document wants it");
        return child;
    }

    void check_attributes(const pugi::xml_node& node, const std::vector<std::string>& known) {
        for (const pugi::xml_attribute& attribute : node.attributes()) {
            if (std::find(known.begin(), known.end(), attribute.name()) == known.end())
                report(line_of(node), node.name(), fmt::format("unknown attribute '{}'", attribute.name()),
                       "remove it");
        }
    }

    // Elements of these names only, each once except `repeated`.
    void check_children(const pugi::xml_node& parent, const std::vector<std::string>& known,
                        const std::string& repeated) {
        std::vector<std::string> seen;
        for (const pugi::xml_node& child : parent.children()) {
            const std::string name = child.name();
            if (child.type() != pugi::node_element) {
                report(line_of(child), parent.name(),
                       fmt::format("text '{}' between elements", trimmed(child.value())), "remove it");
            } else if (std::find(known.begin(), known.end(), name) == known.end()) {
                report(line_of(child), parent.name(), fmt::format("unknown element '{}'", name),
                       did_you_mean(name, known) + fmt::format("elements are {}", fmt::join(known, ", ")));
            } else if (name != repeated && std::find(seen.begin(), seen.end(), name) != seen.end()) {
                report(line_of(child), parent.name(), fmt::format("a second element {}", name),
                       "keep one of the two");
            }
            seen.push_back(name);
        }
    }

    // The text of an element that holds nothing but text.
    std::string text_of(const pugi::xml_node& node) {
        std::string text;
        for (const pugi::xml_node& child : node.children()) {
            if (child.type() == pugi::node_element)
                report(line_of(child), node.name(), fmt::format("unknown element '{}'", child.name()),
                       "write text only");
            text += child.value();
        }
        return text;
    }

    void read_header(const pugi::xml_node& header) {
        check_attributes(header, {});
        std::vector<std::string> names;
        for (const HeaderElement& element : kHeader) {
            names.emplace_back(element.name);
            const pugi::xml_node node = header.child(element.name);
            check_attributes(node, {});
            result_.header.*element.text = text_of(node);
            if (element.mandatory && trimmed(result_.header.*element.text).empty())
                report(line_of(node ? node : header), "Header",
                       fmt::format("{} {}", node ? "empty" : "no", element.name), "the document wants it");
        }
        check_children(header, names, {});
        if (const pugi::xml_node comments = header.child("Comments"))
            result_.comments_line = line_of(comments);
    }

    void read_distribution(const pugi::xml_node& distribution) {
        check_attributes(distribution, {});
        check_children(distribution,
                       {"SpectralQuantity", "BandwidthFWHM", "BandwidthCorrected", "SpectralData"},
                       "SpectralData");
        if (const pugi::xml_node quantity = needed(distribution, "SpectralQuantity"))
            read_quantity(quantity);
        check_bandwidth(distribution);
        for (const pugi::xml_node& sample : distribution.children("SpectralData"))
            read_sample(sample);
        if (values_.size() < 2)
            report(line_of(distribution), "SpectralDistribution",
                   fmt::format("{} elements SpectralData", values_.size()), "a spectrum has two at least");
    }

    void read_quantity(const pugi::xml_node& node) {
        check_attributes(node, {});
        const std::string text = text_of(node);
        for (const Tm27Quantity quantity : {Tm27Quantity::radiance, Tm27Quantity::relative}) {
            if (trimmed(text) == quantity_text(quantity)) {
                result_.quantity = quantity;
                return;
            }
        }
        report(line_of(node), "SpectralQuantity", fmt::format("'{}'", trimmed(text)),
               "a screen is described by radiance in W/(sr m2 nm), or by relative values");
    }

    // Told, checked, and of no effect: values are taken as they stand.
    void check_bandwidth(const pugi::xml_node& distribution) {
        if (const pugi::xml_node width = distribution.child("BandwidthFWHM")) {
            const std::string text = text_of(width);
            const std::optional<double> nm = finite_number(trimmed(text));
            if (!nm || !(*nm > 0.0))
                report(line_of(width), "BandwidthFWHM", fmt::format("'{}'", text),
                       "write nanometres above 0");
        }
        if (const pugi::xml_node corrected = distribution.child("BandwidthCorrected")) {
            const std::string text = text_of(corrected);
            if (trimmed(text) != "true" && trimmed(text) != "false")
                report(line_of(corrected), "BandwidthCorrected", fmt::format("'{}'", text),
                       "write true or false");
        }
    }

    void read_sample(const pugi::xml_node& sample) {
        check_attributes(sample, {"wavelength"});
        const std::string at = sample.attribute("wavelength").value();
        const std::string text = text_of(sample);
        const std::optional<double> nm = finite_number(at);
        const std::optional<double> value = finite_number(trimmed(text));
        if (!nm) {
            report(line_of(sample), "SpectralData", fmt::format("wavelength '{}'", at),
                   "write nanometres, as in wavelength=\"380\"");
        } else if (const std::string wrong = wavelength_fault(wavelengths_nm_, *nm); !wrong.empty()) {
            report(line_of(sample), "SpectralData", wrong, kWavelengthRemedy);
        }
        if (!value)
            report(line_of(sample), "SpectralData", fmt::format("'{}'", trimmed(text)),
                   "write a finite number");
        if (nm)
            wavelengths_nm_.push_back(*nm);
        values_.push_back(value.value_or(0.0));  // of a file that is refused
    }

    std::string_view text_;
    std::string file_;
    Tm27Spectrum result_;
    std::vector<double> wavelengths_nm_;
    std::vector<double> values_;
    std::vector<Fault> faults_;
};

bool is_unwritable(char letter) {
    return static_cast<unsigned char>(letter) < 0x20 && letter != '\t' && letter != '\n';
}

}  // namespace

std::string tm27_text(const Tm27Spectrum& spectrum) {
    ISOSEAM_CHECK(spectrum.spectrum.lines().empty() && spectrum.spectrum.wavelengths_nm().size() >= 2);
    pugi::xml_document document;
    pugi::xml_node declaration = document.append_child(pugi::node_declaration);
    declaration.append_attribute("version") = "1.0";
    declaration.append_attribute("encoding") = "UTF-8";
    pugi::xml_node root = document.append_child(kRoot);
    root.append_attribute("xmlns") = kNamespace;
    root.append_attribute("version") = kVersion;
    pugi::xml_node header = root.append_child("Header");
    for (const HeaderElement& element : kHeader) {
        const std::string& text = spectrum.header.*element.text;
        if (element.mandatory && trimmed(text).empty()) {
            throw InputError("Header", fmt::format("no {}", element.name), "an IES TM-27 file wants it told");
        }
        if (std::any_of(text.begin(), text.end(), is_unwritable)) {
            throw InputError(element.name, "a control character, which XML cannot hold", "remove it");
        }
        if (!text.empty())
            header.append_child(element.name).text() = text.c_str();
    }
    pugi::xml_node distribution = root.append_child("SpectralDistribution");
    distribution.append_child("SpectralQuantity").text() = quantity_text(spectrum.quantity);
    for (size_t i = 0; i < spectrum.spectrum.values().size(); ++i) {
        pugi::xml_node sample = distribution.append_child("SpectralData");
        sample.append_attribute("wavelength") =
            fmt::format("{}", spectrum.spectrum.wavelengths_nm()[i]).c_str();
        sample.text() = fmt::format("{}", spectrum.spectrum.values()[i]).c_str();
    }
    std::ostringstream out;
    document.save(out, "  ", pugi::format_indent, pugi::encoding_utf8);
    return out.str();
}

Tm27Spectrum parse_tm27_spectrum(std::string_view text, const std::string& file) {
    return Tm27Reader(without_byte_order_mark(text), file).read();
}

}  // namespace isoseam
