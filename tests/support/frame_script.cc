#include "tests/support/frame_script.h"

#include <algorithm>
#include <sstream>

#include "core/base/text.h"

namespace proofdrive::testing {
namespace {

struct Step {
  Duration step{0};
  Duration at{0};
};

class Parser {
 public:
  Result<FrameScript> Run(const std::string& text) {
    script_.start = WallTime(std::chrono::seconds(1'772'366'400));  // 2026-03-01T12:00:00Z
    int number = 0;
    for (const std::string& line : Split(text, '\n')) {
      ++number;
      const Status status = Line(line.substr(0, line.find('#')));
      if (!status.ok()) return status.WithContext("line " + std::to_string(number));
    }
    Arrange();
    return script_;
  }

 private:
  Status Line(const std::string& line) {
    std::istringstream words(line);
    std::string verb;
    if (!(words >> verb)) return Status::Ok();
    std::string rest;
    std::getline(words >> std::ws, rest);
    rest = std::string(Trim(rest));
    if (verb == "name") script_.name = rest;
    if (verb == "stage") script_.stage = rest;
    if (verb == "definitions") script_.definitions.push_back(rest);
    if (verb == "name" || verb == "stage" || verb == "definitions") return Status::Ok();
    std::istringstream arguments(rest);
    if (verb == "start") return Start(rest);
    if (verb == "channel") return Channel(arguments);
    if (verb == "every") return Every(arguments);
    if (verb == "at") return At(arguments);
    if (verb == "step") return AddStep(arguments);
    return Status(ErrorKind::kInvalidArgument, "unknown word " + verb);
  }

  Status Start(const std::string& text) {
    ASSIGN_OR_RETURN(script_.start, ParseWallTime(text));
    return Status::Ok();
  }

  Status Channel(std::istringstream& words) {
    int number = 0;
    std::string bus;
    if (!(words >> number >> bus)) return Status(ErrorKind::kInvalidArgument, "channel N BUS");
    script_.channels.emplace_back(static_cast<std::uint8_t>(number), bus == "-" ? "" : bus);
    return Status::Ok();
  }

  // "100 ms"
  static Result<Duration> Time(std::istringstream& words) {
    std::string number, unit;
    words >> number >> unit;
    const bool negative = number.starts_with('-');
    ASSIGN_OR_RETURN(const Duration time,
                     ParseDuration((negative ? number.substr(1) : number) + unit));
    return negative ? -time : time;
  }

  static Status Word(std::istringstream& words, const std::string& expected) {
    std::string word;
    words >> word;
    if (word == expected) return Status::Ok();
    return Status(ErrorKind::kInvalidArgument, "\"" + expected + "\" expected, not " + word);
  }

  Status Every(std::istringstream& words) {
    ASSIGN_OR_RETURN(const Duration period, Time(words));
    RETURN_IF_ERROR(Word(words, "from"));
    ASSIGN_OR_RETURN(const Duration from, Time(words));
    RETURN_IF_ERROR(Word(words, "to"));
    ASSIGN_OR_RETURN(const Duration to, Time(words));
    ASSIGN_OR_RETURN(Frame frame, FrameOf(words));
    for (Duration time = from; time < to && period > Duration(0); time += period) {
      frame.time = script_.start + time;
      script_.frames.push_back(frame);
    }
    return Status::Ok();
  }

  Status At(std::istringstream& words) {
    ASSIGN_OR_RETURN(const Duration time, Time(words));
    ASSIGN_OR_RETURN(Frame frame, FrameOf(words));
    frame.time = script_.start + time;
    script_.frames.push_back(frame);
    return Status::Ok();
  }

  Status AddStep(std::istringstream& words) {
    ASSIGN_OR_RETURN(const Duration step, Time(words));
    RETURN_IF_ERROR(Word(words, "at"));
    ASSIGN_OR_RETURN(const Duration at, Time(words));
    steps_.push_back({step, at});
    return Status::Ok();
  }

  Result<std::uint8_t> NumberOf(const std::string& bus) const {
    for (const auto& [number, name] : script_.channels) {
      if (name == bus || std::to_string(number) == bus) return number;
    }
    return Status(ErrorKind::kInvalidArgument, "no channel " + bus);
  }

  Result<Frame> FrameOf(std::istringstream& words) const {
    std::string bus, id, bytes;
    words >> bus >> id;
    std::getline(words, bytes);
    Frame frame;
    ASSIGN_OR_RETURN(frame.channel, NumberOf(bus));
    if (id.ends_with('x')) {
      frame.flags = kExtendedId;
      id.pop_back();
    }
    ASSIGN_OR_RETURN(const std::uint64_t number, ParseUint64("0x" + id));
    frame.id = static_cast<std::uint32_t>(number);
    ASSIGN_OR_RETURN(const auto data, ParseHexBytes(bytes));
    if (data.size() > kMaxFdLength) return Status(ErrorKind::kInvalidArgument, "over 64 bytes");
    if (data.size() > kMaxClassicLength) frame.flags |= kFlexibleData;
    frame.length = static_cast<std::uint8_t>(data.size());
    std::copy(data.begin(), data.end(), frame.data.begin());
    RETURN_IF_ERROR(Validate(frame));
    return frame;
  }

  void Arrange() {
    std::stable_sort(script_.frames.begin(), script_.frames.end(),
                     [](const Frame& a, const Frame& b) { return a.time < b.time; });
    for (Frame& frame : script_.frames) {
      Duration shift{0};
      for (const Step& step : steps_) {
        if (frame.time - script_.start >= step.at) shift += step.step;
      }
      frame.time += shift;
    }
  }

  FrameScript script_;
  std::vector<Step> steps_;
};

}  // namespace

Result<FrameScript> ParseFrameScript(const std::string& text) { return Parser().Run(text); }

}  // namespace proofdrive::testing
