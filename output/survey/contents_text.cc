#include "output/survey/contents_text.h"

#include <cstdio>

#include "core/base/text.h"
#include "core/frame/frame.h"
#include "decoders/language/where_parser.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using analysis::survey::AroundMark;
using analysis::survey::Content;
using analysis::survey::Payload;

std::string Seconds(double seconds) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.2f s", seconds);
  return text;
}

// "byte 3 bit 4 on, bit 5 off; byte 6 12 to 13": single bits while they are few.
std::string Difference(const Payload& from, const Payload& to) {
  std::vector<std::string> bytes;
  for (std::size_t i = 0; i < std::min(from.size(), to.size()); ++i) {
    const unsigned changed = static_cast<unsigned>(from[i] ^ to[i]);
    if (changed == 0) continue;
    std::vector<std::string> bits;
    for (unsigned bit = 8; bit-- > 0;) {
      if (((changed >> bit) & 1U) == 0) continue;
      bits.push_back("bit " + std::to_string(bit) + (((to[i] >> bit) & 1U) != 0 ? " on" : " off"));
    }
    const std::string byte = "byte " + std::to_string(i) + " ";
    bytes.push_back(byte + (bits.size() <= 2 ? Join(bits, ", ")
                                             : HexBytes(ByteSpan(from).subspan(i, 1)) + " to " +
                                                   HexBytes(ByteSpan(to).subspan(i, 1))));
  }
  return bytes.empty() ? "nothing" : Join(bytes, "; ");
}

std::string ContentTable(const analysis::survey::Contents& contents) {
  using Align = Table::Align;
  Table table({{"FIRST AT", Align::kRight},
               {"CONTENT"},
               {"TIMES", Align::kRight},
               {"LASTED", Align::kRight},
               {"AGAINST THE ONE BEFORE"}});
  for (const Content& content : contents.list) {
    table.Add({Seconds(content.first_s), HexBytes(content.payload), FormatCount(content.times),
               Seconds(content.lasted_s),
               content.before.empty() ? "" : Difference(content.before, content.payload)});
  }
  return table.Format();
}

std::string MarkTable(const std::vector<AroundMark>& marks) {
  Table table(
      {{"MARK"}, {"AT", Table::Align::kRight}, {"2 S BEFORE"}, {"JUST AFTER"}, {"CHANGED"}});
  for (const AroundMark& mark : marks) {
    const bool both = !mark.before.empty() && !mark.after.empty();
    table.Add({mark.text, Seconds(mark.at_s), HexBytes(mark.before), HexBytes(mark.after),
               both ? Difference(mark.before, mark.after) : "not recorded"});
  }
  return table.Format();
}

}  // namespace

std::string FormatContents(const analysis::survey::Identifier& identifier,
                           const analysis::survey::FoundFrame& found,
                           const analysis::survey::Contents& contents,
                           const std::vector<AroundMark>& marks) {
  std::string head = FormatId(identifier.id, identifier.extended ? kExtendedId : 0);
  if (!identifier.bus.empty()) head += " on " + identifier.bus;
  head += " said " + CountOf(contents.list.size(), "different content") + " in " +
          CountOf(identifier.rows.size(), "frame") + ".";
  if (contents.not_listed > 0) {
    head += " " + CountOf(contents.not_listed, "frame") + " with further contents are not listed.";
  }
  std::vector<std::string> without;
  if (found.counter) {
    without.push_back("counter at " + decoders::FormatLocation(found.counter->location));
  }
  if (found.checksum) {
    without.push_back("checksum at " + decoders::FormatLocation(found.checksum->location));
  }
  if (!without.empty()) head += " Shown as 0: " + Join(without, ", ") + ".";
  std::string text = Paragraph("", head) + "\n" + ContentTable(contents);
  if (!marks.empty()) text += "\n" + MarkTable(marks);
  return text;
}

}  // namespace proofdrive::output
