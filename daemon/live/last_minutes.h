// The last minutes of every signal, so that a page that is opened late has something to plot.
//
// One row every half second of this machine's time, kRows of them: ten minutes. A series is kept as
// its lowest and its highest element. Bounded: at most kColumns columns, 5 MB.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

// One thread.
class LastMinutes {
 public:
  static constexpr std::size_t kRows = 1200;
  static constexpr std::size_t kColumns = 1000;
  static constexpr Duration kStep = std::chrono::milliseconds(500);

  // Adds a row. Begins anew when the definitions are others or time goes back.
  void Take(const Snapshot& snapshot);

  // "pack_voltage", "cell_voltage.lowest", "cell_voltage.highest", in order of definition.
  std::vector<std::string> Names() const;

  struct Extract {
    std::vector<double> times;                // seconds since 1970, growing
    std::vector<std::vector<float>> columns;  // one per name, in step with times; NaN: no value
  };
  // kInvalidArgument names a column that is not kept.
  Result<Extract> Get(const std::vector<std::string>& names) const;

 private:
  enum class Kind : std::uint8_t { kValue, kLowest, kHighest };
  struct Column {
    std::uint32_t signal = 0;
    Kind kind = Kind::kValue;
    std::vector<float> ring;
  };
  void BeginAnew(const Snapshot& snapshot);
  void AddColumn(std::uint32_t signal, Kind kind);
  std::string NameOf(const Column& column) const;

  std::shared_ptr<const decoders::Definitions> definitions_;
  std::vector<double> times_;  // ring; next_ is the oldest once it is full
  std::size_t next_ = 0;
  std::vector<Column> columns_;
};

}  // namespace proofdrive::daemon
