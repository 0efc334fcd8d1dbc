#pragma once
// A browser's side of a connection, byte by byte: what it sends is the test's own matter.

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <map>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

namespace isoseam::test {

struct ReceivedResponse {
    int status = 0;
    std::map<std::string, std::string> fields;  // names in small letters
    std::string body;
    std::string text;  // head and body as they came
};

class WebClient {
  public:
    // Waits at most `patience_s` for each thing that it is to receive.
    explicit WebClient(std::uint16_t port, int patience_s = 5, int receive_buffer_bytes = 0)
        : socket_(socket(AF_INET, SOCK_STREAM, 0)) {
        const timeval patience{patience_s, 0};
        setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
        if (receive_buffer_bytes > 0) {
            setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &receive_buffer_bytes, sizeof receive_buffer_bytes);
        }
        const int at_once = 1;
        setsockopt(socket_, IPPROTO_TCP, TCP_NODELAY, &at_once, sizeof at_once);
        sockaddr_in address{};
        address.sin_family = AF_INET;
        address.sin_port = htons(port);
        address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        if (connect(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
            close(socket_);
            throw std::runtime_error("no connection");
        }
        host_ = "127.0.0.1:" + std::to_string(port);
    }
    WebClient(WebClient&& other) noexcept
        : socket_(std::exchange(other.socket_, -1)), host_(other.host_), buffer_(other.buffer_) {}
    WebClient& operator=(WebClient&&) = delete;
    ~WebClient() {
        if (socket_ >= 0) {
            close(socket_);
        }
    }

    // False when the other side has gone.
    bool send(std::string_view text) {
        while (!text.empty()) {
            const ssize_t sent = ::send(socket_, text.data(), text.size(), MSG_NOSIGNAL);
            if (sent <= 0) {
                return false;
            }
            text.remove_prefix(static_cast<std::size_t>(sent));
        }
        return true;
    }

    // `fields`: whole lines with their ends.
    void get(const std::string& target, const std::string& fields = {}, const std::string& method = "GET") {
        send(method + " " + target + " HTTP/1.1\r\nHost: " + host_ + "\r\n" + fields + "\r\n");
    }
    void post(const std::string& target, const std::string& body, const std::string& fields = {}) {
        send("POST " + target + " HTTP/1.1\r\nHost: " + host_ + "\r\nContent-Type: application/json\r\n" +
             fields + "Content-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body);
    }

    ReceivedResponse receive(bool has_body = true) {
        ReceivedResponse response;
        response.text = until("\r\n\r\n");
        response.status = response.text.size() > 12 ? std::stoi(response.text.substr(9, 3)) : 0;
        std::size_t from = response.text.find("\r\n") + 2;
        while (from + 2 < response.text.size()) {
            const std::size_t end = response.text.find("\r\n", from);
            const std::string line = response.text.substr(from, end - from);
            std::string name = line.substr(0, line.find(':'));
            std::transform(name.begin(), name.end(), name.begin(),
                           [](unsigned char letter) { return static_cast<char>(std::tolower(letter)); });
            response.fields[name] = line.substr(line.find(':') + 2);
            from = end + 2;
        }
        if (has_body && response.fields.count("content-length") > 0) {
            response.body = count(std::stoul(response.fields["content-length"]));
            response.text += response.body;
        }
        return response;
    }

    // The next chunk of a stream; "" for its end.
    std::string chunk() {
        const std::string size = until("\r\n");
        const std::string text = count(std::stoul(size, nullptr, 16));
        count(2);
        return text;
    }
    // The next event's data, passing over comments and times to retry.
    std::string event() {
        while (true) {
            const std::string text = chunk();
            if (text.empty()) {
                return "end of stream";
            }
            if (text.starts_with("data: ")) {
                return text.substr(6, text.size() - 8);
            }
        }
    }

    // Whether the other side closes, without another byte, before patience is over.
    bool closed() {
        char byte = 0;
        const ssize_t got = recv(socket_, &byte, 1, 0);
        return buffer_.empty() && (got == 0 || (got < 0 && errno == ECONNRESET));
    }
    int descriptor() const { return socket_; }

  private:
    void more() {
        char bytes[4096];
        const ssize_t got = recv(socket_, bytes, sizeof bytes, 0);
        if (got <= 0) {
            throw std::runtime_error(got == 0 ? "closed after: " + buffer_
                                              : "nothing came after: " + buffer_);
        }
        buffer_.append(bytes, static_cast<std::size_t>(got));
    }
    std::string count(std::size_t bytes) {
        while (buffer_.size() < bytes) {
            more();
        }
        const std::string text = buffer_.substr(0, bytes);
        buffer_.erase(0, bytes);
        return text;
    }
    std::string until(std::string_view mark) {
        while (buffer_.find(mark) == std::string::npos) {
            more();
        }
        return count(buffer_.find(mark) + mark.size());
    }

    int socket_;
    std::string host_;
    std::string buffer_;
};

}  // namespace isoseam::test
