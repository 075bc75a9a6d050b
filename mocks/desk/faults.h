/* SPDX-License-Identifier: MIT */
/*
 * What is wrong with the desk or the network on purpose. One table: its rows are the command-line
 * switches, the /rig addresses that move them at run time, and the text of --help.
 */
#ifndef MOCK_FAULTS_H
#define MOCK_FAULTS_H

#include <stdbool.h>
#include <stdint.h>

enum fault {
    FAULT_SEED,
    FAULT_DROP,
    FAULT_DUPLICATE,
    FAULT_REORDER,
    FAULT_DELAY,
    FAULT_GARBAGE,
    FAULT_SILENT,
    FAULT_HALF,
    FAULT_ANSWERS_PER_SECOND,
    FAULT_RECEIVE_BUFFER,
    FAULT_HOLD_STAY,
    FAULT_PUSHES_PER_SECOND,
    FAULT_BUNDLE,
    FAULT_NEST,
    FAULTS,
};

struct fault_row {
    const char *name;
    const char *unit; /* as --help shows it */
    double low;
    double high;
    double initial;
    bool whole;
    const char *help;
};

extern const struct fault_row fault_rows[FAULTS];

struct faults {
    double values[FAULTS];
    uint64_t random; /* generator state; the seed makes a run repeatable */
};

void faults_init(struct faults *faults);

/* False, and nothing changed, when the value is outside the row's range. */
bool faults_set(struct faults *faults, enum fault fault, double value);

/* The fault of that name, or FAULTS. */
enum fault fault_find(const char *name);

/* Draws: true with the probability the fault is set to. A fault at 0 draws nothing. */
bool faults_strike(struct faults *faults, enum fault fault);

/* A random number from 0 to `limit` - 1. */
uint32_t faults_random(struct faults *faults, uint32_t limit);

bool faults_is_on(const struct faults *faults, enum fault fault);

#endif
