#pragma once
// This instrument is a spectroradiometer on a serial line that speaks text, by its dialect.

#include <optional>
#include <string>

#include "calibration/instruments/instrument.h"
#include "calibration/instruments/serial_dialect.h"
#include "calibration/instruments/serial_port.h"

namespace isoseam {

struct SerialOptions {
    std::string port;  // "/dev/ttyUSB0"
    SerialDialect dialect;
};

// The instrument opens the port at the first reading, and again after the line was lost or an answer was
// incomplete.
class SerialInstrument : public Instrument {
  public:
    explicit SerialInstrument(SerialOptions options);
    InstrumentRecord record() const override;
    ReadingOutcome read(const ShownPatch& shown) override;

  private:
    std::optional<ReadingFailure> open();
    // Sends and waits for the whole answer, which goes into `answer`. Otherwise gives the reason why the
    // answer did not come.
    std::optional<ReadingFailure> converse(const SerialExchange& exchange, std::string& answer);
    ReadingFailure unplugged(const std::string& why) const;
    ReadingFailure silent(const SerialExchange& exchange, const std::string& answer) const;

    SerialOptions options_;
    SerialPort port_;
};

}  // namespace isoseam
