/* SPDX-License-Identifier: MIT */
#include "advice/card.h"

static const struct {
    const char *name, *word;
} kinds[CARD_KINDS] = {
    [CARD_PUT_BACK] = {"put it back", "put-back"},
    [CARD_MASTER] = {"master to 0 dB", "master"},
    [CARD_TRIM] = {"re-trim", "re-trim"},
    [CARD_TAP] = {"sends from before the fader", "tap"},
    [CARD_MAKE_UP] = {"make-up gain out", "make-up"},
    [CARD_BOOST] = {"boosts out", "boost"},
    [CARD_HIGH_PASS] = {"high-pass", "high-pass"},
    [CARD_CLOSE] = {"close the sends", "close"},
};

const char *
card_name(enum card_kind kind)
{
    return kinds[kind].name;
}

const char *
card_word(enum card_kind kind)
{
    return kinds[kind].word;
}
