#pragma once
// One connection. It reads requests one after the other, and sends the answers or holds an event stream.
// Everything here runs on the server's thread.

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <functional>
#include <memory>
#include <string>

#include "runner/web/reception.h"
#include "runner/web/request_reader.h"

namespace isoseam {

class Connection;

// What a connection asks of its server.
class ConnectionOwner {
  public:
    virtual ~ConnectionOwner() = default;
    virtual Reply reply(const std::variant<SentRequest, Refusal>& outcome, const WebEnds& ends) = 0;
    virtual void stream_began(const std::shared_ptr<Connection>& connection, const std::string& channel) = 0;
    virtual void stream_ended(const std::shared_ptr<Connection>& connection, const std::string& channel,
                              const std::string& ticket) = 0;
    virtual void event_sent() = 0;
    // The connection is about to be closed for this reason.
    virtual void cut(std::uint64_t WebRefusals::*reason) = 0;
    virtual void closed(const std::shared_ptr<Connection>& connection) = 0;  // called once
};

class Connection : public std::enable_shared_from_this<Connection> {
  public:
    using Socket = boost::asio::ip::tcp::socket;
    Connection(Socket socket, WebEnds ends, ConnectionOwner& owner, const WebLimits& limits);

    void start();
    void start_refused(std::string text);  // sends this text and ends

    // Hands over an event for the connection's stream. It is sent at once. If another event is being sent,
    // the new one waits and replaces any that waits already.
    void offer(const std::shared_ptr<const std::string>& chunk);
    // Is called regularly, and looks after deadlines and heartbeats. An idle connection ends sooner where
    // places are short.
    void tick(WebTime now, bool places_are_short);
    // The server is ending. What an idle connection or a stream still has to send is sent; all else is cut
    // off.
    void finish();
    void close();  // closes at once

    const WebEnds& ends() const { return ends_; }

  private:
    enum class State { reading, replying, streaming, draining, closed };

    void read();
    void proceed();
    void send(Reply reply);
    // Sends all bytes, which stay where they are until then. If that fails, the connection closes.
    void write(const std::string& bytes, std::function<void()> then);
    void sent();
    void begin_stream();
    void write_chunk(std::shared_ptr<const std::string> chunk, bool is_event);
    void chunk_written();
    void drain();
    void allow(double seconds);
    void allow_idling();

    Socket socket_;
    WebEnds ends_;
    ConnectionOwner& owner_;
    const WebLimits& limits_;
    RequestReader reader_;
    std::array<char, 2048> bytes_{};
    Reply reply_;  // the reply that is being sent, or that opened the stream
    State state_ = State::reading;
    bool within_request_ = false;
    bool finishing_ = false;
    WebTime deadline_;
    WebTime idle_since_;
    std::size_t drained_bytes_ = 0;
    std::shared_ptr<const std::string> writing_;  // the chunk of the stream that is being written
    std::shared_ptr<const std::string> waiting_;
    WebTime last_write_;
};

}  // namespace isoseam
