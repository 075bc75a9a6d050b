/* SPDX-License-Identifier: MIT */
/* Lowest notes of instruments and voices.
 *
 * Frequencies: f = 440 * 2^(n / 12), B. H. Suits, MTU, "Physics of Music - Notes"; computed, 4
 * decimals. Ranges, as the citation of each row says: zytrax.com/tech/audio/audio.html (as copied
 * at audiosciencereview.com); mikfielding.co.uk, "The Hz's and dB's in Music"; J. D. Cook,
 * "Saxophone ranges", johndcook.com; or from memory, which is no oracle on its own.
 * All ranges were read in secondary texts, none in a primary one.
 */
#ifndef GAINWARDEN_REFERENCE_NOTES_H
#define GAINWARDEN_REFERENCE_NOTES_H

static const struct {
    const char *instrument;
    const char *note;
    int from_a4; /* semitones from A4 */
    double hz;
    const char *citation;
} reference_notes[] = {
    {"bass guitar, 4 string", "E1", -41, 41.2034, "zytrax"},
    {"bass guitar, 5 string", "B0", -46, 30.8677, "zytrax"},
    {"guitar (standard tuning)", "E2", -29, 82.4069, "zytrax; mikfielding"},
    {"piano", "A0", -48, 27.5, "zytrax; mikfielding; CRC"},
    {"violin", "G3", -14, 195.9977, "zytrax; mikfielding"},
    {"viola", "C3", -21, 130.8128, "zytrax; mikfielding"},
    {"cello", "C2", -33, 65.4064, "zytrax; mikfielding"},
    {"double bass", "E1", -41, 41.2034, "zytrax; mikfielding"},
    {"trumpet", "E3", -17, 164.8138, "zytrax; mikfielding"},
    {"trombone (tenor)", "E2", -29, 82.4069, "zytrax; mikfielding"},
    {"soprano sax", "Ab3", -13, 207.6523, "johndcook"},
    {"alto sax", "Db3", -20, 138.5913, "johndcook"},
    {"tenor sax", "Ab2", -25, 103.8262, "johndcook"},
    {"baritone sax", "Db2", -32, 69.2957, "johndcook"},
    {"baritone sax with low A", "C2", -33, 65.4064, "from memory"},
    {"flute", "C4", -9, 261.6256, "zytrax; mikfielding"},
    {"clarinet (Bb, sounding D3)", "D3", -19, 146.8324, "from memory"},
    {"French horn", "A2", -24, 110.0, "zytrax (conservative)"},
    {"voice: bass", "E2", -29, 82.4069, "johndcook"},
    {"voice: baritone", "G2", -26, 97.9989, "johndcook; mikfielding"},
    {"voice: tenor", "C3", -21, 130.8128, "johndcook; mikfielding"},
    {"voice: alto", "F3", -16, 174.6141, "johndcook"},
    {"voice: soprano", "C4", -9, 261.6256, "johndcook"},
};

#endif
