#pragma once
// What the telephones of a class share, and how each speaks HTTP.

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <boost/asio.hpp>
#include <chrono>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

namespace isoseam::bench {

namespace asio = boost::asio;
using asio::awaitable;
using asio::use_awaitable;
using asio::ip::tcp;
using Json = nlohmann::json;
using Clock = std::chrono::steady_clock;

inline constexpr int kProbes = 20;
inline constexpr double kArrivalSeconds = 10.0;  // a class takes its telephones out
inline constexpr double kProbeLostSeconds = 5.0;
inline constexpr std::size_t kBrowserConnections = 6;  // that a browser opens to one server at most

struct Options {
    int phones = 1000;
    double seconds = 120.0;
    double answer_every_s = 4.0;
    std::string address;
    std::string room;
    std::string desk;
    int server_pid = 0;
    bool steer = false;  // a scene that is steered, without probes; else a question
};

inline double since_ms(Clock::time_point begin) {
    return std::chrono::duration<double, std::milli>(Clock::now() - begin).count();
}

inline double percentile(std::vector<double>& values, double percent) {
    if (values.empty()) {
        return std::nan("");
    }
    std::sort(values.begin(), values.end());
    const double last = static_cast<double>(values.size() - 1);
    return values[static_cast<std::size_t>(std::ceil(percent / 100.0 * last))];
}

// What all telephones share. One thread, so nothing is locked.
struct Class {
    Options options;
    asio::io_context context{1};
    tcp::endpoint server;
    std::mt19937_64 random{1};
    Clock::time_point end;
    int scene = 1;
    int choices = 0;
    Json desk_state;
    asio::steady_timer desk_news{context};  // cancelled at each of the desk's events

    std::map<std::string, std::uint64_t> requests;  // by "POST /answer 204"
    std::vector<double> request_ms;
    std::vector<double> probe_ms;
    std::vector<double> fan_out_ms;
    int probes_lost = 0;
    std::vector<double> in_the_room_ms;  // from the first request of a telephone to its place
    int streams = 0;
    int most_streams = 0;
    int streams_lost = 0;
    std::uint64_t phone_events = 0;
    std::uint64_t desk_events = 0;
    Clock::time_point closing;  // when answers were closed, at the end
    bool over = false;

    double uniform(double from, double to) { return std::uniform_real_distribution<>(from, to)(random); }
};

inline awaitable<void> pause(Class& all, double seconds) {
    asio::steady_timer timer(all.context);
    timer.expires_after(std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds)));
    co_await timer.async_wait(use_awaitable);
}

struct Received {
    int status = 0;
    std::string head;
    std::string body;
};

class Http {
  public:
    explicit Http(Class& all) : all_(all), socket_(all.context) {}

    // On the connection that is open, or a new one: an idle one may have been closed by the server meanwhile.
    awaitable<Received> ask(std::string method, std::string target, std::string body, std::string ticket) {
        const auto begin = Clock::now();
        if (socket_.is_open()) {
            try {
                co_return co_await exchange(begin, method, target, body, ticket);
            } catch (const boost::system::system_error&) {
                socket_.close();
                buffer_.clear();
            }
        }
        co_await connect();
        co_return co_await exchange(begin, method, target, body, ticket);
    }

    // A browser opens connections before it knows that it needs them.
    awaitable<void> connect() {
        co_await socket_.async_connect(all_.server, use_awaitable);
        socket_.set_option(tcp::no_delay(true));
    }

    // The next event's data.
    awaitable<std::string> event() {
        while (true) {
            const std::string size = co_await until("\r\n");
            const std::string text = co_await count(std::stoul(size, nullptr, 16));
            co_await count(2);
            if (text.empty()) {
                throw std::runtime_error("the stream has ended");
            }
            if (text.starts_with("data: ")) {
                co_return text.substr(6, text.size() - 8);
            }
        }
    }

  private:
    awaitable<Received> exchange(Clock::time_point begin, std::string method, std::string target,
                                 std::string body, std::string ticket) {
        const std::string text = request_text(method, target, body, ticket);
        co_await asio::async_write(socket_, asio::buffer(text), use_awaitable);
        Received received;
        received.head = co_await until("\r\n\r\n");
        received.status = std::stoi(received.head.substr(9, 3));
        const std::size_t length = received.head.find("\r\nContent-Length: ");
        if (length != std::string::npos) {
            received.body = co_await count(std::stoul(received.head.substr(length + 18)));
        }
        if (received.head.find("\r\nConnection: close") != std::string::npos && !is_stream(received)) {
            socket_.close();
        }
        all_.request_ms.push_back(since_ms(begin));
        const std::string shown = target.starts_with("/desk/") ? "/desk" : target.substr(0, target.find('?'));
        ++all_.requests[fmt::format("{} {} {}", method, shown, received.status)];
        co_return received;
    }

    static bool is_stream(const Received& received) {
        return received.head.find("text/event-stream") != std::string::npos;
    }

    std::string request_text(const std::string& method, const std::string& target, const std::string& body,
                             const std::string& ticket) const {
        std::string text = fmt::format("{} {} HTTP/1.1\r\nHost: {}:{}\r\n", method, target,
                                       all_.server.address().to_string(), all_.server.port());
        if (!ticket.empty()) {
            text += fmt::format("Cookie: ticket={}\r\n", ticket);
        }
        if (method == "POST") {
            text += fmt::format("Content-Type: application/json\r\nContent-Length: {}\r\n", body.size());
        }
        return text + "\r\n" + body;
    }

    awaitable<void> more() {
        std::array<char, 4096> bytes{};
        const std::size_t got = co_await socket_.async_read_some(asio::buffer(bytes), use_awaitable);
        buffer_.append(bytes.data(), got);
    }
    awaitable<std::string> count(std::size_t bytes) {
        while (buffer_.size() < bytes) {
            co_await more();
        }
        const std::string text = buffer_.substr(0, bytes);
        buffer_.erase(0, bytes);
        co_return text;
    }
    awaitable<std::string> until(std::string mark) {
        while (buffer_.find(mark) == std::string::npos) {
            co_await more();
        }
        const std::size_t end = buffer_.find(mark) + mark.size();
        co_return co_await count(end);
    }

    Class& all_;
    tcp::socket socket_;
    std::string buffer_;
};

}  // namespace isoseam::bench
