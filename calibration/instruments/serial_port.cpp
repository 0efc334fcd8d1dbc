#include "calibration/instruments/serial_port.h"

#include <fmt/format.h>
#include <libserialport.h>
#include <poll.h>

#include <array>
#include <cmath>
#include <filesystem>

namespace isoseam {
namespace {

unsigned milliseconds(double seconds) {
    return static_cast<unsigned>(std::max(1.0, std::ceil(1e3 * seconds)));  // 0 would mean for ever
}

std::string last_words(sp_return result) {
    if (result == SP_ERR_ARG)
        return "not a serial port, or a setting that it does not know";
    if (result == SP_ERR_SUPP)
        return "a setting that this port does not offer";
    char* message = sp_last_error_message();
    const std::string words = message == nullptr ? "no reason given" : message;
    sp_free_error_message(message);
    return words;
}

sp_parity parity_of(Parity parity) {
    return parity == Parity::none ? SP_PARITY_NONE : parity == Parity::even ? SP_PARITY_EVEN : SP_PARITY_ODD;
}

sp_flowcontrol flow_of(FlowControl flow) {
    return flow == FlowControl::none       ? SP_FLOWCONTROL_NONE
           : flow == FlowControl::hardware ? SP_FLOWCONTROL_RTSCTS
                                           : SP_FLOWCONTROL_XONXOFF;
}

}  // namespace

struct SerialPort::Implementation {
    sp_port* port = nullptr;
    bool open = false;

    ~Implementation() { close(); }
    Implementation() = default;
    Implementation(const Implementation&) = delete;
    Implementation& operator=(const Implementation&) = delete;

    void close() {
        if (open)
            sp_close(port);
        if (port != nullptr)
            sp_free_port(port);
        port = nullptr;
        open = false;
    }

    sp_return find(const std::string& path) {
        const sp_return as_named = sp_get_port_by_name(path.c_str(), &port);
        std::error_code error;
        const std::filesystem::path target = std::filesystem::canonical(path, error);
        return as_named == SP_OK || error ? as_named : sp_get_port_by_name(target.c_str(), &port);
    }

    sp_return apply(const LineSettings& settings) const {
        for (const sp_return result :
             {sp_set_baudrate(port, settings.baud), sp_set_bits(port, settings.data_bits),
              sp_set_parity(port, parity_of(settings.parity)), sp_set_stopbits(port, settings.stop_bits),
              sp_set_flowcontrol(port, flow_of(settings.flow))}) {
            if (result != SP_OK)
                return result;
        }
        return SP_OK;
    }

    // A line that was hung up is always ready to be read and gives nothing.
    bool is_gone() const {
        int handle = -1;
        if (sp_get_port_handle(port, &handle) != SP_OK)
            return true;
        pollfd look{handle, POLLIN, 0};
        return ::poll(&look, 1, 0) > 0 && (look.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0;
    }
};

SerialPort::SerialPort() : implementation_(std::make_unique<Implementation>()) {}
SerialPort::~SerialPort() = default;

std::string SerialPort::open(const std::string& path, const LineSettings& settings) {
    close();
    sp_return result = implementation_->find(path);
    if (result == SP_OK)
        result = sp_open(implementation_->port, SP_MODE_READ_WRITE);
    if (result != SP_OK) {
        const std::string why = last_words(result);
        close();
        return why;
    }
    implementation_->open = true;
    result = implementation_->apply(settings);
    if (result != SP_OK) {
        const std::string why = last_words(result);
        close();
        return why;
    }
    drop_what_came();
    return "";
}

bool SerialPort::is_open() const {
    return implementation_->open;
}

void SerialPort::close() {
    implementation_->close();
}

std::string SerialPort::send(std::string_view bytes, double within_s) {
    // A number of bytes or a fault: the library's type of faults does not hold such numbers.
    const int sent =
        sp_blocking_write(implementation_->port, bytes.data(), bytes.size(), milliseconds(within_s));
    if (sent < 0)
        return last_words(static_cast<sp_return>(sent));
    if (static_cast<std::size_t>(sent) != bytes.size())
        return fmt::format("only {} of {} bytes could be sent", sent, bytes.size());
    return "";
}

SerialPort::Heard SerialPort::hear(double within_s) {
    std::array<char, 4096> buffer{};
    const int count =
        sp_blocking_read_next(implementation_->port, buffer.data(), buffer.size(), milliseconds(within_s));
    if (count > 0)
        return {std::string(buffer.data(), static_cast<std::size_t>(count)), false};
    return {"", count < 0 || implementation_->is_gone()};
}

void SerialPort::drop_what_came() {
    sp_flush(implementation_->port, SP_BUF_INPUT);
}

std::string SerialPort::ports_there_are() {
    sp_port** ports = nullptr;
    if (sp_list_ports(&ports) != SP_OK)
        return "none that the system tells of";
    std::string names;
    for (int i = 0; ports[i] != nullptr; ++i)
        names += fmt::format("{}{}", i == 0 ? "" : ", ", sp_get_port_name(ports[i]));
    sp_free_port_list(ports);
    return names.empty() ? "none" : names;
}

}  // namespace isoseam
