// Messages of ISO 14229-1 and SAE J1979. The bytes are the examples of the clauses named (public
// restatements were read) and dissect alike in python3-scapy 2.5.0, unless said otherwise.
#include "decoders/services/answers.h"

#include <gmock/gmock.h>

#include "decoders/services/service_names.h"
#include "tests/support/matchers.h"
#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using ::testing::ElementsAre;
using testing::Hex;
using testing::Joined;
using testing::Text;
using testing::ToHex;

std::vector<std::string> Codes(const CodeList& list) {
  std::vector<std::string> texts;
  for (const CodeWithStatus& entry : list.codes) {
    const std::uint8_t status[] = {entry.status};
    texts.push_back(FormatTroubleCode(entry.code) + " " + HexBytes(status));
  }
  return texts;
}

std::vector<std::string> Codes(const ObdCodeList& list) {
  std::vector<std::string> texts;
  for (const TroubleCode& code : list.codes) texts.push_back(FormatTroubleCode(code));
  return texts;
}

TEST(CodeListTest, ByStatusMask) {  // cl. 11.3.5.3, tables 295-296
  const auto list = ParseCodeList(Hex("59 02 7F 0A 9B 17 24 08 05 11 2F"));
  ASSERT_OK(list);
  EXPECT_EQ(list->available, 0x7F);
  EXPECT_THAT(Codes(*list), ElementsAre("P0A9B-17 24", "P0805-11 2F"));
  EXPECT_EQ(list->bytes_left_over, 0u);
}

TEST(CodeListTest, Supported) {  // table 272; bytes made for this test
  const auto list = ParseCodeList(Hex("59 0A FF 0A A6 1A 2F 0A 0A 13 50"));
  ASSERT_OK(list);
  EXPECT_THAT(Codes(*list), ElementsAre("P0AA6-1A 2F", "P0A0A-13 50"));
}

TEST(CodeListTest, NoneAndBroken) {
  EXPECT_TRUE(ParseCodeList(Hex("59 02 FF")).value().codes.empty());
  EXPECT_EQ(ParseCodeList(Hex("59 02 FF 0A A6 1A")).value().bytes_left_over, 3u);
  EXPECT_EQ(ParseCodeList(Hex("59 02 FF 0A A6 1A 2F 0A")).value().bytes_left_over, 1u);
  EXPECT_THAT(ParseCodeList(Hex("59 02")),
              proofdrive::testing::IsError(ErrorKind::kCorrupt,
                                           "the answer 59 02 is no list of trouble codes"));
  EXPECT_FALSE(ParseCodeList(Hex("59 04 FF 0A A6 1A 2F")).ok());
  EXPECT_FALSE(ParseCodeList({}).ok());
}

TEST(CodeCountTest, ByStatusMask) {  // cl. 11.3.5.2, tables 290-291
  const auto count = ParseCodeCount(Hex("59 01 2F 01 00 01"));
  ASSERT_OK(count);
  EXPECT_EQ(count->available, 0x2F);
  EXPECT_EQ(count->format, 1);
  EXPECT_EQ(count->count, 1);
  EXPECT_FALSE(ParseCodeCount(Hex("59 01 2F 01 00")).ok());
}

TEST(SnapshotTest, Identifications) {  // cl. 11.3.5.5
  const auto ids = ParseSnapshotIds(Hex("59 03 12 34 56 01 12 34 56 02 78 9A BC 01"));
  ASSERT_OK(ids);
  ASSERT_EQ(ids->size(), 3u);
  EXPECT_EQ(FormatTroubleCode((*ids)[1].code), "P1234-56");
  EXPECT_EQ((*ids)[1].record, 2);
  EXPECT_EQ((*ids)[2].code, (TroubleCode{0x789A, std::uint8_t{0xBC}}));
  EXPECT_FALSE(ParseSnapshotIds(Hex("59 03 12 34 56")).ok());
}

TEST(SnapshotTest, Record) {  // cl. 11.3.5.6, table 303
  const auto record = ParseCodeRecord(Hex("59 04 12 34 56 24 02 01 47 11 A6 66 07 50 20"));
  ASSERT_OK(record);
  EXPECT_EQ(FormatTroubleCode(record->code), "P1234-56");
  EXPECT_EQ(record->status, 0x24);
  EXPECT_EQ(record->record, 2);
  EXPECT_EQ(ToHex(record->data), "01 47 11 A6 66 07 50 20");
}

TEST(SnapshotTest, ExtendedData) {  // cl. 11.3.5.8, tables 311-312
  const auto record = ParseCodeRecord(Hex("59 06 12 34 56 24 05 17 10 79"));
  ASSERT_OK(record);
  EXPECT_EQ(record->record, 5);
  EXPECT_EQ(ToHex(record->data), "17 10 79");
}

TEST(SnapshotTest, NoRecordIsAGoodAnswer) {  // cl. 11.3.4
  const auto record = ParseCodeRecord(Hex("59 06 12 34 56 24"));
  ASSERT_OK(record);
  EXPECT_FALSE(record->record);
  EXPECT_FALSE(ParseCodeRecord(Hex("59 06 12 34 56")).ok());
}

TEST(IdentifierTest, One) {
  const auto values =
      ParseIdentifierValues(Hex("22 F1 90"), Joined(Hex("62 F1 90"), Text("TESTVEH0123456789")));
  ASSERT_OK(values);
  ASSERT_EQ(values->values.size(), 1u);
  EXPECT_EQ(values->values[0].identifier, 0xF190);
  EXPECT_EQ(values->values[0].data, Text("TESTVEH0123456789"));
}

TEST(IdentifierTest, SeveralInOneAnswer) {
  const auto values = ParseIdentifierValues(Hex("22 F1 87 F1 8C F1 95"),
                                            Hex("62 F1 87 41 42 F1 8C 01 F1 95 07 08"));
  ASSERT_OK(values);
  EXPECT_TRUE(values->told_apart);
  ASSERT_EQ(values->values.size(), 3u);
  EXPECT_EQ(ToHex(values->values[0].data), "41 42");
  EXPECT_EQ(ToHex(values->values[1].data), "01");
  EXPECT_EQ(values->values[2].identifier, 0xF195);
  EXPECT_EQ(ToHex(values->values[2].data), "07 08");
}

TEST(IdentifierTest, SeveralThatCannotBeToldApart) {
  const auto values =
      ParseIdentifierValues(Hex("22 F1 87 F1 8C"), Hex("62 F1 87 F1 8C 00 F1 8C 01"));
  ASSERT_OK(values);
  EXPECT_FALSE(values->told_apart);
  EXPECT_EQ(ToHex(values->values.at(0).data), "F1 8C 00 F1 8C 01");
  EXPECT_FALSE(ParseIdentifierValues(Hex("22 F1 87"), Hex("62 F1")).ok());
}

TEST(SessionTest, Times) {  // ISO 14229-1 table 29: 1 ms and 10 ms per bit
  const auto times = ParseSessionTimes(Hex("50 03 00 32 01 F4"));
  ASSERT_OK(times);
  EXPECT_EQ(times->session, 3);
  EXPECT_EQ(times->p2, 50ms);
  EXPECT_EQ(times->p2_star, 5000ms);
  EXPECT_FALSE(ParseSessionTimes(Hex("50 03")).ok());
}

TEST(ObdCodesTest, Lists) {  // SAE J1979 on CAN: a count comes first
  EXPECT_THAT(Codes(ParseObdCodes(Hex("43 02 0A A6 C1 00")).value()),
              ElementsAre("P0AA6", "U0100"));
  for (const char* none : {"43 00", "47 00", "4A 00"}) {
    EXPECT_TRUE(ParseObdCodes(Hex(none)).value().codes.empty());
    EXPECT_TRUE(ParseObdCodes(Hex(none)).value().count_fits());
  }
  EXPECT_THAT(Codes(ParseObdCodes(Hex("47 01 0A 9B")).value()), ElementsAre("P0A9B"));
  EXPECT_FALSE(ParseObdCodes(Hex("43 02 0A A6")).value().count_fits());
  EXPECT_FALSE(ParseObdCodes(Hex("43 01 0A A6 C1")).value().count_fits());
  EXPECT_FALSE(ParseObdCodes(Hex("43")).ok());
}

std::string Monitors(const MonitorStatus& status) {
  std::string text;
  for (const Monitor& monitor : status.monitors) {
    text += std::string(monitor.name) + (monitor.complete ? "; " : " open; ");
  }
  return text;
}

TEST(MonitorTest, Status) {  // bytes A and B as scapy has them, C and D from memory
  const auto status = ParseMonitorStatus(Hex("41 01 82 17 21 20"));
  ASSERT_OK(status);
  EXPECT_TRUE(status->lamp);
  EXPECT_EQ(status->stored, 2);
  EXPECT_FALSE(status->ready());
  EXPECT_EQ(Monitors(*status),
            "misfire open; fuel system; components; catalyst; oxygen sensor open; ");
  const auto electric = ParseMonitorStatus(Hex("41 01 00 04 00 00"));
  EXPECT_FALSE(electric->lamp);
  EXPECT_EQ(Monitors(*electric), "components; ");
  EXPECT_TRUE(electric->ready());
  const auto all = ParseMonitorStatus(Hex("41 01 83 07 FF 00"));
  EXPECT_EQ(all->stored, 3);
  EXPECT_EQ(all->monitors.size(), 11u);
  EXPECT_TRUE(all->ready());
  EXPECT_FALSE(ParseMonitorStatus(Hex("41 01 83")).ok());
}

TEST(SupportedTest, Masks) {  // the first is the public textbook value
  EXPECT_THAT(ParseSupported(Hex("41 00 BE 1F A8 13")).value(),
              ElementsAre(0x01, 0x03, 0x04, 0x05, 0x06, 0x07, 0x0C, 0x0D, 0x0E, 0x0F, 0x10, 0x11,
                          0x13, 0x15, 0x1C, 0x1F, 0x20));
  EXPECT_THAT(ParseSupported(Hex("41 00 80 08 00 13")).value(),
              ElementsAre(0x01, 0x0D, 0x1C, 0x1F, 0x20));
  EXPECT_THAT(ParseSupported(Hex("41 20 80 01 A0 01")).value(),
              ElementsAre(0x21, 0x30, 0x31, 0x33, 0x40));
  EXPECT_THAT(ParseSupported(Hex("41 40 C4 0C 00 21")).value(),
              ElementsAre(0x41, 0x42, 0x46, 0x4D, 0x4E, 0x5B, 0x60));
  EXPECT_THAT(ParseSupported(Hex("41 60 00 00 00 01")).value(), ElementsAre(0x80));
  EXPECT_THAT(ParseSupported(Hex("41 80 00 00 00 41")).value(), ElementsAre(0x9A, 0xA0));
  EXPECT_THAT(ParseSupported(Hex("41 A0 04 00 00 00")).value(), ElementsAre(0xA6));
  EXPECT_THAT(ParseSupported(Hex("49 00 55 40 00 00")).value(),
              ElementsAre(0x02, 0x04, 0x06, 0x08, 0x0A));
  EXPECT_FALSE(ParseSupported(Hex("41 01 BE 1F A8 13")).ok());
}

TEST(VehicleInformationTest, Vin) {
  const auto information =
      ParseVehicleInformation(Joined(Hex("49 02 01"), Text("TESTVEH0123456789")));
  ASSERT_OK(information);
  EXPECT_EQ(information->type, kVinInformation);
  EXPECT_EQ(information->items, 1);
  EXPECT_EQ(TextOfData(information->data), "TESTVEH0123456789");
}

TEST(NamesTest, Refusals) {
  EXPECT_EQ(DescribeRefusal(0x78),
            "the answer comes later (78 requestCorrectlyReceived-ResponsePending)");
  EXPECT_EQ(DescribeRefusal(0x31),
            "the unit does not have what was asked for (31 requestOutOfRange)");
  EXPECT_EQ(DescribeRefusal(0xF0), "the unit refuses (F0, not named by the standard)");
}

TEST(NamesTest, Requests) {
  EXPECT_EQ(DescribeRequest(Hex("19 02 FF")), "ReadDTCInformation 02 FF");
  EXPECT_EQ(DescribeRequest(Hex("22 F1 90 F1 87")), "ReadDataByIdentifier F190 F187");
  EXPECT_EQ(DescribeRequest(Hex("03")), "confirmed trouble codes");
  EXPECT_EQ(DescribeRequest(Hex("BA 01")), "service BA 01");
  EXPECT_EQ(DescribeRequest({}), "nothing");
}

TEST(NamesTest, Identifiers) {  // ISO 14229-1 Annex C.1
  EXPECT_EQ(IdentifierName(0xF180), "bootSoftwareIdentification");
  EXPECT_EQ(IdentifierName(0xF186), "activeDiagnosticSession");
  EXPECT_EQ(IdentifierName(0xF190), "VIN");
  EXPECT_EQ(IdentifierName(0xF195), "systemSupplierECUSoftwareVersionNumber");
  EXPECT_EQ(IdentifierName(0xF19F), "entity");
  EXPECT_EQ(IdentifierName(0xF1A0), "");
  EXPECT_EQ(IdentifierName(0xF17F), "");
}

TEST(NamesTest, IdentifiersInWords) {
  EXPECT_EQ(IdentifierWords(0xF180), "boot software identification");
  EXPECT_EQ(IdentifierWords(0xF18C), "ECU serial number");
  EXPECT_EQ(IdentifierWords(0xF18F), "regulation X software identification numbers");
  EXPECT_EQ(IdentifierWords(0xF190), "VIN");
  EXPECT_EQ(IdentifierWords(0xF195), "system supplier ECU software version number");
  EXPECT_EQ(IdentifierWords(0xF19E), "ODX file");
  EXPECT_EQ(IdentifierWords(0xF1A0), "");
}

TEST(NamesTest, VinIsMasked) {
  EXPECT_EQ(MaskedVin("TESTVEH0123456789"), "TES************89");
  EXPECT_EQ(MaskedVin("SHORT"), "*****");
  EXPECT_EQ(MaskedVin(""), "");
}

TEST(NamesTest, TextOrNot) {
  EXPECT_EQ(TextOfData(Hex("41 42 00 00")), "AB");
  EXPECT_FALSE(TextOfData(Hex("41 07")));
  EXPECT_FALSE(TextOfData(Hex("00")));
}

}  // namespace
}  // namespace proofdrive::decoders
