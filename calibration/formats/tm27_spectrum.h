#pragma once
// This header reads and writes one spectrum as IES TM-27-14 XML. Element names and their order are written
// from memory of the document and were not checked against its schema.

#include <string>
#include <string_view>

#include "colorimetry/spectrum.h"

namespace isoseam {

// The members are free text. A member that is "" stands for an element that the file does not have. The first
// three are mandatory.
struct Tm27Header {
    std::string description;
    std::string document_creator;
    std::string document_creation_date;
    std::string manufacturer;
    std::string catalog_number;
    std::string file_identifier;
    std::string unique_identifier;
    std::string laboratory;
    std::string report_number;
    std::string report_date;
    std::string comments;
};

// This says what the numbers are. The document knows more quantities (flux, reflectance, ...), which no
// screen has.
enum class Tm27Quantity {
    radiance,  // W/(sr m2 nm)
    relative,  // proportional to radiance, by a factor that nobody stated
};

struct Tm27Spectrum {
    Tm27Header header;
    Tm27Quantity quantity = Tm27Quantity::radiance;
    Spectrum spectrum;      // continuous part only; signed
    int comments_line = 0;  // of the file it was read from; 0 if it never stood in one
};

// Gives text that reads back to the same values, bit by bit. Throws an InputError for a header that lacks a
// mandatory text or has a control character. A spectrum with lines, or with fewer than two samples, is a
// programmer's fault.
std::string tm27_text(const Tm27Spectrum& spectrum);

// Throws one InputError with every fault and its line: XML that is damaged, another root, unknown elements
// and attributes (nearest known one named), elements that stand twice or are missing, another quantity,
// damaged numbers, wavelengths that do not rise.
Tm27Spectrum parse_tm27_spectrum(std::string_view text, const std::string& file);

}  // namespace isoseam
