#pragma once
// This class is a serial line. Nothing else in the program knows libserialport.

#include <memory>
#include <string>
#include <string_view>

#include "calibration/instruments/serial_dialect.h"

namespace isoseam {

class SerialPort {
  public:
    // This is what came, or the fact that nothing can come any more.
    struct Heard {
        std::string bytes;  // may be empty: silence
        bool gone = false;  // the line or the device has gone
    };

    SerialPort();
    ~SerialPort();
    SerialPort(const SerialPort&) = delete;
    SerialPort& operator=(const SerialPort&) = delete;

    // Gives "" if the port is open with these settings, and otherwise the reason. A link such as those under
    // /dev/serial/by-id is followed. Bytes that had arrived before are dropped.
    std::string open(const std::string& path, const LineSettings& settings);
    bool is_open() const;
    void close();
    // Gives "" if everything was sent, and otherwise the reason.
    std::string send(std::string_view bytes, double within_s);
    // Waits at most `within_s` for at least one byte.
    Heard hear(double within_s);
    void drop_what_came();

    // Gives the names of the serial ports of this machine, for a message.
    static std::string ports_there_are();

  private:
    struct Implementation;
    std::unique_ptr<Implementation> implementation_;
};

}  // namespace isoseam
