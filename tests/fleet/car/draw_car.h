// Draws cars. Each range has its source beside it, with the mark of the references: looked up, from
// memory, common practice, or chosen here.
#pragma once

#include "tests/fleet/car/car.h"
#include "tests/fleet/random.h"

namespace proofdrive::fleet {

// A healthy car; the same for the same seed.
Car DrawCar(std::uint64_t seed);

// The parts, in the order in which they need each other. Each has dice of its own.
Pack DrawPack(Random random);
HighVoltage DrawHighVoltage(Random random);
Insulation DrawInsulation(Random random, const Pack& pack, const Use& use);
Loop DrawLoop(Random random, const Pack& pack, const Use& use);
Supply DrawSupply(Random random);
Display DrawDisplay(Random random, const Pack& pack);
// Weather and network; the stages come later, they need the pack.
Use DrawUse(Random random);
void DrawStages(Random random, const Pack& pack, Use& use);
Facts DrawFacts(Random random, const Car& car);
void DrawSensors(Random random, Car& car);

}  // namespace proofdrive::fleet
