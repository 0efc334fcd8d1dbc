#include "runner/web/request_reader.h"

#include <algorithm>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/error.hpp>
#include <boost/beast/http/parser.hpp>
#include <cctype>
#include <limits>

namespace isoseam {
namespace {

namespace http = boost::beast::http;

SentRequest sent_request(const http::request<http::empty_body>& message) {
    SentRequest sent;
    sent.method = std::string(message.method_string());
    sent.target = std::string(message.target());
    sent.http_1_0 = message.version() == 10;
    sent.keep_alive = !sent.http_1_0 && message.keep_alive();
    for (const auto& field : message) {
        sent.fields.emplace_back(small_letters(std::string(field.name_string())), std::string(field.value()));
    }
    return sent;
}

// Whether the header is known to be wrong before all of it is there. This finds a stray line break, and a
// first letter that begins no method (as in TLS above all). Otherwise the reader would wait for the rest
// until the time is out. A line that continues the line before it (RFC 9112, section 5.2) is refused too.
bool never_a_header(std::string_view bytes) {
    if (!bytes.empty() && std::isupper(static_cast<unsigned char>(bytes.front())) == 0) {
        return true;
    }
    for (std::size_t end = bytes.find('\n'); end != std::string_view::npos; end = bytes.find('\n', end + 1)) {
        if (end == 0 || bytes[end - 1] != '\r') {
            return true;
        }
        if (end + 1 < bytes.size() && (bytes[end + 1] == ' ' || bytes[end + 1] == '\t')) {
            return true;
        }
    }
    return false;
}

}  // namespace

std::string small_letters(std::string_view text) {
    std::string small(text);
    std::transform(small.begin(), small.end(), small.begin(),
                   [](unsigned char letter) { return static_cast<char>(std::tolower(letter)); });
    return small;
}

const std::string* SentRequest::field(std::string_view name) const {
    const auto found =
        std::find_if(fields.begin(), fields.end(), [&](const auto& f) { return f.first == name; });
    return found == fields.end() ? nullptr : &found->second;
}

int SentRequest::count(std::string_view name) const {
    return static_cast<int>(
        std::count_if(fields.begin(), fields.end(), [&](const auto& f) { return f.first == name; }));
}

RequestReader::RequestReader(std::size_t header_bytes, std::size_t body_bytes)
    : header_bytes_(header_bytes), body_bytes_(body_bytes) {}

void RequestReader::take(std::string_view bytes) {
    buffer_ += bytes;
}

std::variant<RequestReader::NeedMore, SentRequest, Refusal> RequestReader::next() {
    // Empty lines before a request are passed over (RFC 9112, section 2.2).
    while (buffer_.starts_with("\r\n")) {
        buffer_.erase(0, 2);
    }
    if (buffer_.empty()) {
        buffer_.shrink_to_fit();
        return NeedMore{};
    }
    if (buffer_ == "\r") {
        return NeedMore{};
    }
    constexpr std::string_view kEnd = "\r\n\r\n";
    const std::size_t found = buffer_.find(kEnd);
    const std::size_t header_end = found == std::string::npos ? found : found + kEnd.size();
    if (never_a_header(std::string_view(buffer_).substr(0, std::min(header_end, header_bytes_)))) {
        return kMalformed;
    }
    if (std::min(header_end, buffer_.size()) > header_bytes_) {
        return Refusal{431, &WebRefusals::header_bytes};
    }
    if (header_end == std::string::npos) {
        return NeedMore{};
    }
    return parse(header_end);
}

std::variant<RequestReader::NeedMore, SentRequest, Refusal> RequestReader::parse(std::size_t header_end) {
    http::request_parser<http::empty_body> parser;
    parser.header_limit(static_cast<std::uint32_t>(header_bytes_ + 1));
    parser.body_limit(std::numeric_limits<std::uint64_t>::max());  // the body's length is judged below
    boost::beast::error_code error;
    parser.put(boost::asio::const_buffer(buffer_.data(), header_end), error);
    if (error == http::error::bad_version) {
        return Refusal{505, &WebRefusals::malformed};
    }
    if (error || !parser.is_header_done()) {
        return kMalformed;
    }
    SentRequest sent = sent_request(parser.get());
    // Two lengths, even with the same value, are a way to pass one request off as two (RFC 9112, section
    // 11.2).
    if (sent.count("content-length") > 1) {
        return kMalformed;
    }
    if (sent.count("transfer-encoding") > 0) {
        return Refusal{411};
    }
    const std::uint64_t body_bytes = parser.content_length().value_or(0);
    if (body_bytes > body_bytes_) {
        return Refusal{413, &WebRefusals::body_bytes};
    }
    if (buffer_.size() - header_end < body_bytes) {
        return NeedMore{};
    }
    sent.body = buffer_.substr(header_end, body_bytes);
    buffer_.erase(0, header_end + body_bytes);
    return sent;
}

}  // namespace isoseam
