#pragma once
// How fast people join a lecture: what one address may, and what the desk shows. The time is handed in.

#include <deque>
#include <string>

#include "runner/web/token_buckets.h"

namespace isoseam {

// New people who may join from one address: a class of 1,000 that shares one is in after 13 s, and a program
// that joins again and again fills the room no faster. The numbers are our own choice.
inline constexpr WebRate kJoinsPerClient{40.0, 500.0};
// The desk is told how many join a second, over so many seconds.
inline constexpr double kJoinWindowSeconds = 5.0;

class JoinPace {
  public:
    // Whether one more may join from there now; who may is charged for it.
    bool lets_in(const std::string& client, double now_s);
    void joined(double now_s);
    void turned_away() { ++turned_away_; }

    double joins_per_s(double now_s) const;
    int how_many_turned_away() const { return turned_away_; }

  private:
    TokenBuckets buckets_{kJoinsPerClient};
    std::deque<double> join_times_s_;  // of the last seconds
    int turned_away_ = 0;
};

}  // namespace isoseam
