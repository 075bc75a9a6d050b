/* SPDX-License-Identifier: MIT */
/* The part of the search that says what may move and how far: sums of its own over the values of the
 * desk.
 */
#ifndef GAINWARDEN_TESTS_SEARCH_REACH_H
#define GAINWARDEN_TESTS_SEARCH_REACH_H

#include "search.h"

/* By how much each preamp comes down, at its first input, and each master. */
struct choice {
    double preamp[SCENE_INPUTS], master[SCENE_MIXES];
    double gives_db;
};

struct search {
    const struct scene *scene;
    const struct desk *base; /* what fails here is not new */
    const struct desk *desk; /* where the cards begin */
    double told_from_db;     /* unused gain that is a finding */
    int first[SCENE_INPUTS]; /* of each input's preamp; -1: not known */
    bool may_trim[SCENE_INPUTS], may_master[SCENE_MIXES];
    struct choice *choices;
    size_t count, room;
};

/* NAN: not known. */
double reach_get(const struct desk *desk, enum param_id id, int row, int column);

bool reach_is_house(const struct search *search);

/* -HUGE_VAL: closed. NAN: not known. */
double reach_send_db(const struct desk *desk, int input, int mix);

/* With the groups. */
double reach_fader_db(const struct desk *desk, int input);

/* A fader that is moved for the house brings the sends behind it along. */
bool reach_goes_with_fader(const struct search *search, int input, int mix);

/* The ends of a control; a send whose upper end is not told reaches 0 dB. */
struct travel reach_ends_of(const struct desk *desk, enum param_id id, double now);

/* Whether the show file accepts the control as it stands. */
bool reach_is_accepted(const struct search *search, enum param_id id, int row);

/* Whether rules 4, 6 and 7 leave the preamp, or the master, to be moved at all. */
bool reach_may_trim(const struct search *search, int preamp);
bool reach_may_master(const struct search *search, int mix);

/* How far down the preamp comes with the masters as chosen; 0 where less than a card is worth comes of
 * it. */
double reach_down_db(const struct search *search, const struct choice *choice, int preamp);

/* Whether all sends stay within their travel. */
bool reach_fits(const struct search *search, const struct choice *choice);

#endif
