#include "decoders/language/frame_reader.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "decoders/language/checksum_reader.h"
#include "decoders/language/mapping_reader.h"
#include "decoders/language/overlap.h"
#include "decoders/language/signal_reader.h"
#include "decoders/language/where_parser.h"

namespace proofdrive::decoders {
namespace {

constexpr std::uint64_t kMostElements = 65535;
constexpr unsigned kMostTextBits = kMaxFdLength * 8;

std::string Named(const std::string& kind, const std::string& name) {
  return kind + " \"" + name + "\"";
}

// "3 bits count to 7".
std::string CountsTo(const Location& number) {
  return CountOf(number.bits(), "bit") + (number.bits() == 1 ? " counts to " : " count to ") +
         std::to_string((std::uint64_t{1} << number.bits()) - 1);
}

// Reads the parts of one frame into the draft.
class FrameReader {
 public:
  FrameReader(const YamlNode& node, Draft& draft)
      : node_(node),
        draft_(draft),
        keys_(node, kFrameRule, Named("frame", node.key), draft.reporter) {
    frame_.name = node.key;
    frame_.place = draft.reporter.PlaceOf(node.key_mark);
  }

  void Read() {
    const bool is_new = draft_.TakeName(draft_.frames, "frame", node_);
    known_from_ = keys_.KnownFromOr(draft_.known_from);
    ReadIdentity();
    frame_.page = ReadPageSelector(keys_, {});
    for (const YamlNode& signal : keys_.Members("signals")) ReadSignal(signal, {});
    for (const YamlNode& series : keys_.Members("series")) ReadSeries(series);
    for (const YamlNode& page : keys_.Members("pages")) ReadPage(page, frame_.page, {});
    ReadCounter();
    ReadChecksumOfFrame();
    CheckOverlaps(uses_, draft_.reporter);
    if (is_new) draft_.definitions.frames.push_back(std::move(frame_));
  }

 private:
  // The pages something is on, outermost first; empty: on every page.
  using PagePath = std::vector<InnerPage>;

  static std::vector<PageRange> RangesOf(const PagePath& path) {
    std::vector<PageRange> ranges;
    for (const InnerPage& page : path) ranges.push_back({page.page, page.page});
    return ranges;
  }

  void ReadIdentity() {
    frame_.bus = ReadBusName(keys_, draft_);
    frame_.extended = keys_.YesNo("extended");
    ReadId();
    frame_.timeout = ReadTimeout();
    frame_.every = keys_.Time("every");
    if (frame_.every && *frame_.every <= Duration(0)) {
      keys_.Error(keys_.MarkOf("every"), "\"every\" must be longer than 0",
                  "leave it out when the frame has no steady period");
      frame_.every.reset();
    }
    if (const auto length = keys_.Integer("length", 0, kMaxFdLength)) {
      frame_.length = static_cast<std::uint8_t>(*length);
      CheckLength();
    }
  }

  std::optional<Duration> ReadTimeout() {
    const auto timeout = keys_.Time("timeout");
    if (!timeout || *timeout > Duration(0)) return timeout;
    keys_.Error(keys_.MarkOf("timeout"), "\"timeout\" must be longer than 0",
                "write for example timeout: 500 ms");
    return std::nullopt;
  }

  void ReadMask() {
    frame_.mask = frame_.extended ? kMaxExtendedId : kMaxBaseId;
    const auto mask = keys_.Integer("mask", 1, frame_.mask);
    if (!mask) return;
    frame_.mask = static_cast<std::uint32_t>(*mask);
    if ((frame_.id & ~frame_.mask) == 0) return;
    keys_.Error(keys_.MarkOf("mask"), "the identifier has bits that the mask leaves out",
                "set them to 0 in id, or to 1 in mask");
  }

  void ReadId() {
    const auto id = keys_.Integer("id", 0, kMaxExtendedId);
    if (!id) return;
    frame_.id = static_cast<std::uint32_t>(*id);
    if (!frame_.extended && *id > kMaxBaseId) {
      keys_.Error(keys_.MarkOf("id"),
                  *keys_.Text("id") + " is more than an 11-bit identifier can be (0x7FF)",
                  "add extended: yes if it has 29 bits");
      return;
    }
    ReadMask();
    ReadMovedTo();
    CheckTaken("id", frame_.id);
    if (frame_.moved_to) CheckTaken("moved to", *frame_.moved_to);
  }

  void ReadMovedTo() {
    const auto moved = keys_.Integer("moved to", 0, kMaxExtendedId);
    if (!moved) return;
    const auto error = [&](const std::string& message, const std::string& hint) {
      keys_.Error(keys_.MarkOf("moved to"), message, hint);
    };
    if (keys_.Find("mask") != nullptr) {
      error("a frame with a mask stands for many identifiers already",
            "describe the identifiers it moved to as a frame of their own");
    } else if (!frame_.extended && *moved > kMaxBaseId) {
      error(*keys_.Text("moved to") + " is more than an 11-bit identifier can be (0x7FF)",
            "add extended: yes if both have 29 bits");
    } else if (*moved == frame_.id) {
      error("it moved to the identifier it had", "id is the one from before the update");
    } else {
      frame_.moved_to = static_cast<std::uint32_t>(*moved);
    }
  }

  // The identifier under `key` belongs to no other frame.
  void CheckTaken(const char* key, std::uint32_t id) {
    for (const FrameDefinition& other : draft_.definitions.frames) {
      const bool same_bus = other.bus == frame_.bus || other.bus.empty() || frame_.bus.empty();
      const bool same_id = other.id == id || other.moved_to == id;
      if (!same_bus || !same_id || other.mask != frame_.mask || other.extended != frame_.extended) {
        continue;
      }
      keys_.Error(keys_.MarkOf(key),
                  "frame \"" + other.name + "\" has this identifier on the same bus",
                  "it is at " + other.place.file + ":" + std::to_string(other.place.line) +
                      "; put all signals of an identifier into one frame");
      return;
    }
  }

  void CheckLength() {
    if (FdLengthOfDlc(FdDlcOfLength(*frame_.length)) == *frame_.length) return;
    keys_.Error(keys_.MarkOf("length"),
                "no CAN frame has " + std::to_string(*frame_.length) + " bytes",
                "lengths are 0 to 8, 12, 16, 20, 24, 32, 48 and 64");
    frame_.length.reset();
  }

  void Use(const std::string& name, const Location& location, const Mark& mark) {
    Use({name, location, mark, {}});
  }

  // Takes the bits of a part, and reports those beyond the end of the frame.
  void Use(BitUse use) {
    const std::size_t needed = use.location.bytes_needed();
    if (frame_.length && needed > *frame_.length) {
      draft_.reporter.Error(use.mark,
                            use.name + " uses byte " + std::to_string(needed - 1) +
                                ", but the frame has " + std::to_string(*frame_.length) + " bytes",
                            *frame_.length == 0
                                ? "length: 0 means a frame without data"
                                : "bytes are counted from 0: the last one is byte " +
                                      std::to_string(*frame_.length - 1));
      return;
    }
    uses_.push_back(std::move(use));
  }

  // The place of a page number, for the frame or within a page; nullopt when there is none.
  std::optional<Location> ReadPageSelector(const MappingReader& keys, const PagePath& path) {
    const YamlNode* node = keys.Find("page");
    if (node == nullptr) {
      if (const YamlNode* pages = keys.Find("pages")) {
        keys.Error(
            pages->key_mark, "\"pages\" needs to know which page a frame carries",
            "add page: {where: byte 0} to the " + std::string(path.empty() ? "frame" : "page"));
      }
      return std::nullopt;
    }
    const MappingReader page(*node, kPageSelectRule, "\"page\"", draft_.reporter);
    const auto where = ReadWhere(page, draft_);
    if (!where) return std::nullopt;
    if (where->bits() > 32) {
      page.Error(page.MarkOf("where"), "a page number has at most 32 bits");
      return std::nullopt;
    }
    const char* name = path.empty() ? "the page number" : "the inner page number";
    Use({name, *where, page.MarkOf("where"), RangesOf(path)});
    return where;
  }

  std::optional<std::uint32_t> AddSignal(const YamlNode& node, Signal signal) {
    if (!draft_.TakeName(draft_.signals, "signal", node)) return std::nullopt;
    const auto index = static_cast<std::uint32_t>(draft_.definitions.signals.size());
    draft_.definitions.signals.push_back(std::move(signal));
    frame_.signals.push_back(index);
    return index;
  }

  Signal NewSignal(const YamlNode& node, const MappingReader& keys) const {
    Signal signal;
    signal.name = node.key;
    signal.known_from = keys.KnownFromOr(known_from_);
    signal.frame = frame_.name;
    signal.place = draft_.reporter.PlaceOf(node.key_mark);
    return signal;
  }

  void ReadSignal(const YamlNode& node, const PagePath& path) {
    const MappingReader keys(node, kSignalRule, Named("signal", node.key), draft_.reporter);
    Signal signal = NewSignal(node, keys);
    if (!path.empty()) {
      signal.page = path.front().page;
      signal.inner_pages.assign(path.begin() + 1, path.end());
    }
    const auto where = ReadWhere(keys, draft_);
    if (where) {
      signal.location = *where;
      BitUse use{keys.what(), *where, keys.MarkOf("where"), RangesOf(path)};
      use.may_overlap = keys.YesNo("may overlap");
      Use(std::move(use));
    }
    ReadValueKeys(keys, where ? where->bits() : 0, draft_, signal);
    AddSignal(node, std::move(signal));
  }

  void ReadSeries(const YamlNode& node) {
    const MappingReader keys(node, kSeriesRule, Named("series", node.key), draft_.reporter);
    Signal signal = NewSignal(node, keys);
    signal.is_series = true;
    const auto count = keys.Integer("count", 1, kMostElements);
    const auto per_page = keys.Integer("per page", 1, 512);
    const auto first_page = keys.Integer("first page", 0, kMostElements);
    signal.count = static_cast<std::uint32_t>(count.value_or(1));
    signal.per_page = static_cast<std::uint32_t>(per_page.value_or(signal.count));
    signal.first_page = static_cast<std::uint32_t>(first_page.value_or(0));
    if (count) CheckPaging(keys, signal);
    const unsigned bits = ReadElements(keys, signal);
    ReadValueKeys(keys, bits, draft_, signal);
    AddSignal(node, std::move(signal));
  }

  void CheckPaging(const MappingReader& keys, const Signal& signal) {
    if (signal.per_page < signal.count && keys_.Find("page") == nullptr) {
      keys.Error(keys.MarkOf("per page"),
                 "a list longer than one frame needs to know which page a frame carries",
                 "add page: {where: byte 0} to frame \"" + frame_.name + "\"");
    } else if (signal.per_page > signal.count) {
      keys.Error(keys.MarkOf("per page"), "\"per page\" is more than \"count\"",
                 "leave \"per page\" out when one frame carries the whole list");
    } else if (frame_.page && !PagesFit(signal)) {
      keys.Error(keys.MarkOf("count"), "the page number has too few bits for so many pages",
                 CountsTo(*frame_.page));
    }
  }

  bool PagesFit(const Signal& signal) const { return LastPage(signal) >> frame_.page->bits() == 0; }

  static std::uint64_t LastPage(const Signal& signal) {
    return signal.first_page + (std::uint64_t{signal.count} - 1) / signal.per_page;
  }

  // The bits of one element; 0 after a mistake.
  unsigned ReadElements(const MappingReader& keys, Signal& signal) {
    const auto first = keys.Text("first");
    const auto each = keys.Text("each");
    TextProblem problem;
    std::optional<ElementStart> start;
    std::optional<ElementSize> size;
    if (first && !(start = ParseElementStart(*first, problem))) {
      keys.Report(*keys.Find("first"), problem);
    }
    const bool is_text = IsText(keys);
    if (each && !(size = ParseElementSize(*each, problem, is_text ? kMostTextBits : 64))) {
      keys.Report(*keys.Find("each"), problem);
    }
    if (!start || !size) return size ? size->bits : 0;
    if (is_text) return ReadTexts(keys, *start, *size, signal);
    const auto order = size->order ? size->order : draft_.order;
    if (!order && size->bits > 8) {
      keys.Error(keys.MarkOf("each"), "it is not said which byte of an element counts most",
                 "put \"byte order: big\" (first byte counts most) or \"byte order: little\" at "
                 "the top of the file, or write \"big\" or \"little\" after the size");
      return size->bits;
    }
    UseElements(keys, *start, *size, order.value_or(ByteOrder::kBig), signal);
    return size->bits;
  }

  // Texts follow each other byte by byte, whatever the byte order of numbers is.
  unsigned ReadTexts(const MappingReader& keys, const ElementStart& start, const ElementSize& size,
                     Signal& signal) {
    if (start.bit || size.bits % 8 != 0) {
      keys.Error(keys.MarkOf(start.bit ? "first" : "each"), "text is whole bytes",
                 "write for example first: byte 1, each: 6 bytes");
    } else {
      UseElements(keys, start, size, ByteOrder::kBig, signal);
    }
    return size.bits;
  }

  void UseElements(const MappingReader& keys, const ElementStart& start, const ElementSize& size,
                   ByteOrder order, Signal& signal) {
    signal.element_stride_bits = size.bits;
    signal.elements = ElementLocations(start, size.bits, order, signal.per_page);
    if (signal.elements.empty()) {
      keys.Error(keys.MarkOf("first"),
                 std::to_string(signal.per_page) + " elements of " + std::to_string(size.bits) +
                     " bits do not fit a frame of 64 bytes",
                 "give per page: the number of elements in one frame");
      return;
    }
    signal.location = signal.elements.front();
    BitUse use{keys.what(), {}, keys.MarkOf("first"), {}};
    for (const Location& element : signal.elements) {
      use.location.pieces.insert(use.location.pieces.end(), element.pieces.begin(),
                                 element.pieces.end());
    }
    if (frame_.page) use.pages = {{signal.first_page, LastPage(signal)}};
    use.may_overlap = keys.YesNo("may overlap");
    Use(std::move(use));
  }

  // One entry of `pages`. `where` is the place of its number, `path` the pages around it.
  void ReadPage(const YamlNode& node, const std::optional<Location>& where, PagePath path) {
    const auto number = ParseUint64(node.key);
    if (!number.ok()) {
      draft_.reporter.Error(node.key_mark, "\"" + node.key + "\" is not the number of a page",
                            "write for example pages: {200: {signals: ...}}");
      return;
    }
    if (where && *number >> where->bits() != 0) {
      draft_.reporter.Error(node.key_mark, "the page number has too few bits for page " + node.key,
                            CountsTo(*where));
      return;
    }
    path.push_back({where.value_or(Location{}), *number});
    const MappingReader page(node, kPageRule, "page " + node.key, draft_.reporter);
    for (const YamlNode& signal : page.Members("signals")) ReadSignal(signal, path);
    const auto inner = ReadPageSelector(page, path);
    for (const YamlNode& child : page.Members("pages")) ReadPage(child, inner, path);
  }

  void ReadCounter() {
    const YamlNode* node = keys_.Find("counter");
    if (node == nullptr) return;
    const MappingReader counter(*node, kCounterRule, "\"counter\"", draft_.reporter);
    const auto where = ReadWhere(counter, draft_);
    if (!where) return;
    Use("the counter", *where, counter.MarkOf("where"));
    if (where->bits() > 32) {
      counter.Error(counter.MarkOf("where"), "a counter has at most 32 bits");
      return;
    }
    const std::uint64_t most = (std::uint64_t{1} << where->bits()) - 1;
    CounterRule rule{*where, most};
    if (counter.Find("counts to") != nullptr) {
      rule.counts_to = counter.Integer("counts to", 1, most).value_or(most);
    }
    frame_.counter = std::move(rule);
  }

  void ReadChecksumOfFrame() {
    frame_.checksum = ReadChecksum(keys_, frame_, draft_);
    if (!frame_.checksum) return;
    const auto& parts = keys_.Find("checksum")->children;
    const auto where = std::find_if(parts.begin(), parts.end(),
                                    [](const YamlNode& part) { return part.key == "where"; });
    Use("the checksum", frame_.checksum->location, where->mark);
  }

  const YamlNode& node_;
  Draft& draft_;
  MappingReader keys_;
  FrameDefinition frame_;
  KnownFrom known_from_ = KnownFrom::kGuess;
  std::vector<BitUse> uses_;
};

}  // namespace

std::string ReadBusName(const MappingReader& reader, Draft& draft) {
  const auto name = reader.Text("bus");
  if (!name || draft.buses.contains(*name)) return name.value_or("");
  std::vector<std::string> names;
  for (const auto& [bus, mark] : draft.buses) names.push_back(bus);
  const std::string nearest = NearestName(*name, names);
  reader.Error(reader.MarkOf("bus"), "there is no bus \"" + *name + "\"",
               !nearest.empty() ? "did you mean \"" + nearest + "\"?"
               : names.empty()  ? "add buses: {" + *name + ": {bitrate: 500000}} to the file"
                                : "buses: " + Join(names, ", "));
  return {};
}

void ReadFrame(const YamlNode& node, Draft& draft) { FrameReader(node, draft).Read(); }

}  // namespace proofdrive::decoders
