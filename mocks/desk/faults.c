/* SPDX-License-Identifier: MIT */
#include "faults.h"

#include <math.h>
#include <string.h>

const struct fault_row fault_rows[FAULTS] = {
    [FAULT_SEED] = {"seed", "N", 0, 1e15, 1, true, "start of the random numbers behind faults"},
    [FAULT_DROP] = {"drop", "P", 0, 1, 0, false, "fraction of datagrams never sent"},
    [FAULT_DUPLICATE] = {"duplicate", "P", 0, 1, 0, false, "fraction sent twice"},
    [FAULT_REORDER] = {"reorder", "P", 0, 1, 0, false, "fraction held back 1 to 10 ms"},
    [FAULT_DELAY] = {"delay", "MS", 0, 60000, 0, false, "hold every datagram back"},
    [FAULT_GARBAGE] = {"garbage", "P", 0, 1, 0, false, "fraction followed by a rubbish datagram"},
    [FAULT_SILENT] = {"silent", "0|1", 0, 1, 0, true, "hear nothing and answer nothing but /rig"},
    [FAULT_HALF] = {"half", "0|1", 0, 1, 0, true, "answer for odd inputs and mixes only"},
    [FAULT_ANSWERS_PER_SECOND] = {"answers-per-second", "N", 0, 1e6, 0, false,
                                  "read no faster than this allows (0: no limit)"},
    [FAULT_RECEIVE_BUFFER] = {"receive-buffer", "BYTES", 0, 67108864, 0, true,
                              "socket receive buffer (0: the system's)"},
    [FAULT_HOLD_STAY] = {"hold-stay", "S", 0.01, 86400, 15, false, "how long a /stay lasts"},
    [FAULT_PUSHES_PER_SECOND] = {"pushes-per-second", "N", 1, 1e6, 2000, false,
                                 "pace at which the dialect \"pushes\" tells everything"},
    [FAULT_BUNDLE] = {"bundle", "N", 0, 500, 0, true,
                      "gather up to N messages into one bundle (0: off)"},
    [FAULT_NEST] = {"nest", "N", 0, 16, 0, true,
                    "N bundles in each other, with time tags of now (0: off)"},
};

void
faults_init(struct faults *faults)
{
    for (int i = 0; i < FAULTS; i++)
        faults_set(faults, (enum fault)i, fault_rows[i].initial);
}

bool
faults_set(struct faults *faults, enum fault fault, double value)
{
    const struct fault_row *row = &fault_rows[fault];

    if (!(value >= row->low && value <= row->high)) /* NaN too */
        return false;
    if (row->whole && value != floor(value))
        return false;
    faults->values[fault] = value;
    if (fault == FAULT_SEED)
        faults->random = (uint64_t)value;
    return true;
}

enum fault
fault_find(const char *name)
{
    for (int i = 0; i < FAULTS; i++)
        if (strcmp(fault_rows[i].name, name) == 0)
            return (enum fault)i;
    return FAULTS;
}

/*
 * A counter stepped by the golden ratio and then mixed: any seed, 0 included, starts well.
 * Unsigned sums and products wrap by design.
 */
static uint64_t
next(struct faults *faults)
{
    uint64_t mixed = faults->random += UINT64_C(0x9e3779b97f4a7c15);

    mixed = (mixed ^ mixed >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
    mixed = (mixed ^ mixed >> 27) * UINT64_C(0x94d049bb133111eb);
    return mixed ^ mixed >> 31;
}

bool
faults_strike(struct faults *faults, enum fault fault)
{
    if (faults->values[fault] <= 0)
        return false;
    return (double)(next(faults) >> 11) / 9007199254740992.0 < faults->values[fault];
}

uint32_t
faults_random(struct faults *faults, uint32_t limit)
{
    return (uint32_t)((next(faults) >> 32) * limit >> 32);
}

bool
faults_is_on(const struct faults *faults, enum fault fault)
{
    return faults->values[fault] > 0;
}
