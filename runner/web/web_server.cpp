#include "runner/web/web_server.h"

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <map>
#include <mutex>
#include <thread>
#include <unordered_map>
#include <unordered_set>
#include <utility>

#include "base/errors.h"
#include "runner/web/connection.h"
#include "runner/web/listening.h"
#include "runner/web/response_text.h"

namespace isoseam {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

constexpr auto kTick = std::chrono::milliseconds(200);  // deadlines are kept as finely as this
constexpr int kTicksBetweenTidying = 25;
// The time in which the last events may leave.
constexpr auto kShutdown = std::chrono::milliseconds(500);

// This many connections beyond the limit may hear a 503 at one time. Others are closed without a word.
constexpr std::size_t kMostTurnedAway = 64;

void check_limits(const WebLimits& limits) {
    for (const WebRate& rate : {limits.requests, limits.requests_per_client, limits.requests_per_ticket}) {
        ISOSEAM_CHECK(rate.per_s > 0.0 && rate.at_once >= 1.0);
    }
    ISOSEAM_CHECK(limits.connections > 0 && limits.connections_per_client > 0);
    ISOSEAM_CHECK(limits.header_bytes >= 256);
    for (const double seconds :
         {limits.request_s, limits.response_s, limits.idle_s, limits.idle_short_s, limits.heartbeat_s}) {
        ISOSEAM_CHECK(seconds > 0.0);
    }
}

}  // namespace

class WebServer::Running : public ConnectionOwner {
  public:
    Running(const WebAddress& address, const WebLimits& limits, WebService& service, HearFault on_fault)
        : limits_(limits),
          acceptor_(listening_acceptor(context_, address)),
          port_(acceptor_.local_endpoint().port()),
          reception_(limits, {port_, address.names}, service, counts_, std::move(on_fault)),
          ticker_(context_) {
        accept();
        wait_for_tick();
        thread_ = thread_without_signals();
    }

    ~Running() override {
        asio::post(context_, [this] { finish(); });
        thread_.join();
    }

    std::uint16_t port() const { return port_; }

    void publish(const std::string& channel, std::string event) {
        {
            const std::lock_guard lock(mutex_);
            unsent_[channel] = std::move(event);
            if (std::exchange(sending_posted_, true)) {
                return;
            }
        }
        asio::post(context_, [this] { send_published(); });
    }

    WebCounts counts() const {
        const std::lock_guard lock(mutex_);
        return told_counts_;
    }

    Reply reply(const std::variant<SentRequest, Refusal>& outcome, const WebEnds& ends) override {
        Reply reply = reception_.reply(outcome, ends, WebTime::clock::now(), std::time(nullptr));
        tell_counts();
        return reply;
    }

    void stream_began(const std::shared_ptr<Connection>& connection, const std::string& channel) override {
        channels_[channel].insert(connection);
    }

    void stream_ended(const std::shared_ptr<Connection>& connection, const std::string& channel,
                      const std::string& ticket) override {
        const auto found = channels_.find(channel);
        found->second.erase(connection);
        if (found->second.empty()) {
            channels_.erase(found);
        }
        reception_.stream_closed(channel, ticket);
        tell_counts();
    }

    void event_sent() override { ++counts_.events; }

    void cut(std::uint64_t WebRefusals::*reason) override { ++(counts_.refused.*reason); }

    void closed(const std::shared_ptr<Connection>& connection) override {
        if (turned_away_.erase(connection) > 0) {
            return;
        }
        connections_.erase(connection);
        counts_.connections = static_cast<int>(connections_.size());
        const auto of_client = connections_of_client_.find(connection->ends().limited_as);
        if (--of_client->second == 0) {
            connections_of_client_.erase(of_client);
        }
        tell_counts();
        if (finishing_ && connections_.empty()) {
            ticker_.cancel();
        }
    }

  private:
    using Connections = std::unordered_set<std::shared_ptr<Connection>>;

    // Signals are for the program's own threads, so this thread is born with all of them blocked.
    std::thread thread_without_signals() {
        sigset_t all;
        sigset_t before;
        sigfillset(&all);
        pthread_sigmask(SIG_SETMASK, &all, &before);
        std::thread thread([this] { run(); });
        pthread_sigmask(SIG_SETMASK, &before, nullptr);
        return thread;
    }

    void run() {
        while (true) {
            try {
                context_.run();
                return;
            } catch (const std::exception& error) {
                reception_.fault(error.what());
            }
        }
    }

    void accept() {
        acceptor_.async_accept([this](error_code error, tcp::socket socket) {
            if (finishing_) {
                return;
            }
            if (!error) {
                accept_one(std::move(socket));
                accept();
            } else {
                // Most likely there are no files or no memory left. The next tick tries again, so that the
                // thread does not spin.
                accept_at_tick_ = true;
            }
        });
    }

    void accept_one(tcp::socket socket) {
        WebEnds ends = prepared_ends(socket);
        if (counts_.connections >= limits_.connections) {
            turn_away(std::move(socket), std::move(ends), &WebRefusals::connections);
        } else if (held_by(ends.limited_as) >= limits_.connections_per_client) {
            turn_away(std::move(socket), std::move(ends), &WebRefusals::connections_per_client);
        } else {
            ++connections_of_client_[ends.limited_as];
            const auto connection =
                std::make_shared<Connection>(std::move(socket), std::move(ends), *this, limits_);
            connections_.insert(connection);
            counts_.connections = static_cast<int>(connections_.size());
            counts_.most_connections = std::max(counts_.most_connections, counts_.connections);
            tell_counts();
            connection->start();
        }
    }

    void turn_away(tcp::socket socket, WebEnds ends, std::uint64_t WebRefusals::*reason) {
        const std::string text = reception_.refuse({503, reason, kFullRetrySeconds}, std::time(nullptr));
        tell_counts();
        if (turned_away_.size() < kMostTurnedAway) {
            const auto connection =
                std::make_shared<Connection>(std::move(socket), std::move(ends), *this, limits_);
            turned_away_.insert(connection);
            connection->start_refused(text);
        }
    }

    void send_published() {
        std::map<std::string, std::string> events;
        {
            const std::lock_guard lock(mutex_);
            events.swap(unsent_);
            sending_posted_ = false;
        }
        for (const auto& [channel, event] : events) {
            const auto found = channels_.find(channel);
            if (found == channels_.end()) {
                continue;
            }
            const auto chunk = std::make_shared<const std::string>(event_chunk(event));
            for (const auto& connection : found->second) {
                connection->offer(chunk);
            }
        }
    }

    void wait_for_tick() {
        ticker_.expires_after(kTick);
        ticker_.async_wait([this](error_code error) {
            if (!error && !finishing_) {
                tick();
                wait_for_tick();
            }
        });
    }

    void tick() {
        const WebTime now = WebTime::clock::now();
        for_each_connection([&](Connection& connection) {
            connection.tick(now, places_are_short(connection.ends().limited_as));
        });
        if (++ticks_ % kTicksBetweenTidying == 0) {
            reception_.tidy(now);
        }
        if (std::exchange(accept_at_tick_, false)) {
            accept();
        }
        tell_counts();
    }

    int held_by(const std::string& client) const {
        const auto of_client = connections_of_client_.find(client);
        return of_client == connections_of_client_.end() ? 0 : of_client->second;
    }

    // Whether places are short, either for all clients or for this one.
    bool places_are_short(const std::string& client) const {
        return 2 * counts_.connections > limits_.connections ||
               2 * held_by(client) > limits_.connections_per_client;
    }

    // Calls `act` on each connection, which may close itself.
    void for_each_connection(const auto& act) {
        for (Connections* all : {&connections_, &turned_away_}) {
            for (auto next = all->begin(); next != all->end();) {
                const auto connection = *next++;
                act(*connection);
            }
        }
    }

    // When no work of its own is left, the context comes to its end by itself. Connections that do not end in
    // time are left behind.
    void finish() {
        finishing_ = true;
        error_code ignored;
        acceptor_.close(ignored);
        send_published();
        for_each_connection([](Connection& connection) { connection.finish(); });
        ticker_.expires_after(connections_.empty() ? std::chrono::milliseconds(0) : kShutdown);
        ticker_.async_wait([this](error_code /*error*/) {
            for_each_connection([](Connection& connection) { connection.close(); });
            context_.stop();
        });
    }

    void tell_counts() {
        const std::lock_guard lock(mutex_);
        told_counts_ = counts_;
    }

    WebLimits limits_;
    WebCounts counts_;
    asio::io_context context_{1};
    tcp::acceptor acceptor_;
    std::uint16_t port_;
    Reception reception_;
    asio::steady_timer ticker_;
    int ticks_ = 0;
    bool accept_at_tick_ = false;
    bool finishing_ = false;
    Connections connections_;
    Connections turned_away_;
    std::unordered_map<std::string, int> connections_of_client_;
    std::unordered_map<std::string, Connections> channels_;

    mutable std::mutex mutex_;  // guards what follows, which other threads use
    std::map<std::string, std::string> unsent_;
    bool sending_posted_ = false;
    WebCounts told_counts_;

    std::thread thread_;
};

WebServer::WebServer(const WebAddress& address, const WebLimits& limits, WebService& service,
                     HearFault on_fault) {
    check_limits(limits);
    allow_open_files(limits.connections + static_cast<int>(kMostTurnedAway));
    running_ = std::make_unique<Running>(address, limits, service, std::move(on_fault));
}

WebServer::~WebServer() = default;

std::uint16_t WebServer::port() const {
    return running_->port();
}

void WebServer::publish(const std::string& channel, std::string event) {
    running_->publish(channel, std::move(event));
}

WebCounts WebServer::counts() const {
    return running_->counts();
}

}  // namespace isoseam
