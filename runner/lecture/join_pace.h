#pragma once
// How fast people join a lecture: how many may join from one address, and what the desk shows. The caller
// hands in the time.

#include <deque>
#include <string>

#include "runner/web/token_buckets.h"

namespace isoseam {

// How many new people may join from one address. A class of 1,000 that shares one address is in after 13 s. A
// program that joins again and again fills the room no faster. The numbers are our own choice.
inline constexpr WebRate kJoinsPerClient{40.0, 500.0};
// The desk is told how many people join in a second, averaged over this many seconds.
inline constexpr double kJoinWindowSeconds = 5.0;

class JoinPace {
  public:
    // Whether one more person may join from this address now. Whoever may join uses up one token of the
    // address.
    bool lets_in(const std::string& client, double now_s);
    void joined(double now_s);
    void turned_away() { ++turned_away_; }

    double joins_per_s(double now_s) const;
    int how_many_turned_away() const { return turned_away_; }

  private:
    TokenBuckets buckets_{kJoinsPerClient};
    std::deque<double> join_times_s_;  // the times of the last seconds only
    int turned_away_ = 0;
};

}  // namespace isoseam
