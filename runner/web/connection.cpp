#include "runner/web/connection.h"

#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>
#include <utility>

#include "runner/web/response_text.h"

namespace isoseam {
namespace {

namespace asio = boost::asio;
using boost::system::error_code;

// After the last response the other side may still be sending. Closing at once would make the system throw
// away what it has not read yet, so the rest is read and forgotten for a while.
constexpr double kDrainSeconds = 1.0;
constexpr std::size_t kMostDrainedBytes = 256 * 1024;

WebTime after(WebTime now, double seconds) {
    return now + std::chrono::duration_cast<WebTime::duration>(std::chrono::duration<double>(seconds));
}

}  // namespace

Connection::Connection(Socket socket, WebEnds ends, ConnectionOwner& owner, const WebLimits& limits)
    : socket_(std::move(socket)),
      ends_(std::move(ends)),
      owner_(owner),
      limits_(limits),
      reader_(limits.header_bytes, limits.body_bytes) {}

void Connection::allow(double seconds) {
    deadline_ = after(WebTime::clock::now(), seconds);
}

void Connection::allow_idling() {
    idle_since_ = WebTime::clock::now();
    allow(limits_.idle_s);
}

void Connection::start() {
    allow_idling();
    read();
}

void Connection::start_refused(std::string text) {
    send({std::move(text), false});
}

void Connection::read() {
    socket_.async_read_some(
        asio::buffer(bytes_), [self = shared_from_this()](error_code error, std::size_t size) {
            Connection& me = *self;
            if (me.state_ == State::replying) {
                return;  // the request was cut off, and draining reads on
            }
            if (error || me.state_ == State::closed) {
                me.close();
            } else if (me.state_ == State::reading) {
                me.reader_.take({me.bytes_.data(), size});
                me.proceed();
            } else if (me.state_ == State::draining && (me.drained_bytes_ += size) < kMostDrainedBytes) {
                me.read();
            } else {
                me.close();  // whoever sends bytes into an event stream loses it
            }
        });
}

// Answers the next request, if all of it has come.
void Connection::proceed() {
    auto next = reader_.next();
    if (std::holds_alternative<RequestReader::NeedMore>(next)) {
        if (finishing_) {
            close();
            return;
        }
        // One allowance of time holds for the whole request, however slowly its bytes come.
        if (std::exchange(within_request_, reader_.within_request()) != within_request_) {
            within_request_ ? allow(limits_.request_s) : allow_idling();
        }
        read();
        return;
    }
    within_request_ = false;
    if (auto* request = std::get_if<SentRequest>(&next)) {
        send(owner_.reply(std::move(*request), ends_));
    } else {
        send(owner_.reply(std::get<Refusal>(next), ends_));
    }
}

void Connection::send(Reply reply) {
    state_ = State::replying;
    reply_ = std::move(reply);
    allow(limits_.response_s);
    if (reply_.stream) {
        owner_.stream_began(shared_from_this(), reply_.stream->channel);
    }
    write(reply_.text, [this] { sent(); });
}

void Connection::write(const std::string& bytes, std::function<void()> then) {
    asio::async_write(
        socket_, asio::buffer(bytes),
        [self = shared_from_this(), then = std::move(then)](error_code error, std::size_t /*size*/) {
            if (error || self->state_ == State::closed) {
                self->close();
            } else {
                then();
            }
        });
}

void Connection::sent() {
    reply_.text = {};
    if (reply_.stream) {
        begin_stream();
    } else if (reply_.keep_alive && !finishing_) {
        state_ = State::reading;
        allow_idling();
        proceed();
    } else {
        drain();
    }
}

void Connection::begin_stream() {
    state_ = State::streaming;
    last_write_ = WebTime::clock::now();
    read();
    chunk_written();
}

void Connection::offer(const std::shared_ptr<const std::string>& chunk) {
    if (state_ == State::streaming && !writing_) {
        write_chunk(chunk, true);
    } else {
        waiting_ = chunk;
    }
}

void Connection::write_chunk(std::shared_ptr<const std::string> chunk, bool is_event) {
    writing_ = std::move(chunk);
    last_write_ = WebTime::clock::now();
    allow(limits_.response_s);
    write(*writing_, [this, is_event] {
        if (is_event) {
            owner_.event_sent();
        }
        chunk_written();
    });
}

void Connection::chunk_written() {
    writing_.reset();
    if (waiting_) {
        write_chunk(std::exchange(waiting_, nullptr), true);
    } else if (finishing_) {
        // Only a few bytes go into an empty buffer. If they do not fit, the browser sees a broken stream, as
        // it would if the machine were switched off.
        error_code ignored;
        socket_.non_blocking(true, ignored);
        socket_.write_some(asio::buffer(last_chunk()), ignored);
        close();
    }
}

void Connection::drain() {
    if (finishing_) {
        close();
        return;
    }
    state_ = State::draining;
    allow(kDrainSeconds);
    error_code ignored;
    socket_.shutdown(Socket::shutdown_send, ignored);
    read();
}

void Connection::tick(WebTime now, bool places_are_short) {
    if (state_ == State::streaming && !writing_) {
        static const auto heartbeat = std::make_shared<const std::string>(heartbeat_chunk());
        if (now >= after(last_write_, limits_.heartbeat_s)) {
            write_chunk(heartbeat, false);
        }
        return;
    }
    const bool idle = state_ == State::reading && !within_request_;
    const bool in_the_way = idle && places_are_short && now >= after(idle_since_, limits_.idle_short_s);
    if (now < deadline_ && !in_the_way) {
        return;
    }
    if (state_ == State::reading && within_request_) {
        owner_.cut(&WebRefusals::slow_requests);
        // The other side may still be listening.
        error_code ignored;
        socket_.cancel(ignored);
        send({refusal_text({408}, {false, false, std::time(nullptr)}), false});
        return;
    }
    if (state_ == State::replying || state_ == State::streaming) {
        owner_.cut(&WebRefusals::slow_readers);
    }
    close();
}

void Connection::finish() {
    finishing_ = true;
    if (state_ == State::streaming && !writing_) {
        chunk_written();
    } else if (state_ == State::reading || state_ == State::draining) {
        close();
    }
}

void Connection::close() {
    if (state_ == State::closed) {
        return;
    }
    const auto self = shared_from_this();
    if (reply_.stream) {
        owner_.stream_ended(self, reply_.stream->channel, reply_.ticket);
        reply_.stream.reset();
    }
    state_ = State::closed;
    error_code ignored;
    socket_.close(ignored);
    waiting_.reset();
    owner_.closed(self);
}

}  // namespace isoseam
