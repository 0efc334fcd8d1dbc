#pragma once
// A dialect says how an instrument on a serial line is addressed. It is a small YAML file of our own, so that
// any spectroradiometer with a text protocol can be used. calibration/README.md describes the format, and
// dialects/example.yaml is an example.

#include <optional>
#include <string>
#include <vector>

#include "calibration/instruments/instrument.h"

namespace isoseam {

inline constexpr int kDialectVersion = 1;

enum class Parity { none, even, odd };
enum class FlowControl { none, hardware, software };

struct LineSettings {
    int baud = 9600;
    int data_bits = 8;
    Parity parity = Parity::none;
    int stop_bits = 1;
    FlowControl flow = FlowControl::none;
};

// This is something sent to the instrument, and the answer that is waited for.
struct SerialExchange {
    std::string send;     // bytes
    std::string until;    // bytes that end a whole answer; not empty
    std::string expect;   // must stand somewhere in the answer; may be empty
    double within_s = 0;  // longest time to a whole answer
};

// This is an answer that is no spectrum. It is recognised by the beginning of one of its lines.
struct NoSpectrumReply {
    std::string begins;
    Trouble means = Trouble::failed;  // saturated, too_dark or failed
    std::string remedy;               // may be empty
};

enum class Separator { line, comma, semicolon, blank, tab };

struct SerialDialect {
    std::string file;
    std::string text;        // the file's bytes, kept in the record
    std::string instrument;  // for the record
    LineSettings line;
    std::vector<SerialExchange> opening;  // once, after the port is opened
    SerialExchange reading;
    int skip_lines = 0;
    Separator separated_by = Separator::line;  // the end of a line separates in any case
    // If this is true, wavelength and value alternate. Otherwise there are values only, with the wavelengths
    // that follow here.
    bool pairs = false;
    double first_nm = 0.0;
    double step_nm = 0.0;
    std::optional<int> count;  // of samples; needed unless pairs
    double scale = 1.0;        // what a value is multiplied by to be in `unit`
    ReadingUnit unit = ReadingUnit::w_sr_m2_nm;
    std::vector<NoSpectrumReply> replies;
};

// Throws an InputError with all faults of the file.
SerialDialect read_dialect(const std::string& path);
SerialDialect parse_dialect(const std::string& text, const std::string& file);

}  // namespace isoseam
