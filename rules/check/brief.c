/* SPDX-License-Identifier: MIT */
#include "check/brief.h"

#include <math.h>
#include <stddef.h>

#include "check/list.h"

/* Of the rows of a check the first counts whose figure is there and not 0, else the last. */
static const struct row {
    int check;
    const char *figure; /* its name */
    const char *before; /* what stands before the number, NULL: its sign; */
    const char *behind; /* its unit, or, without a number, all that is said */
    bool word;          /* the number is not said */
    const char *cure;
    const char *to; /* a figure that ends the cure where the verdict has it, NULL: none */
} rows[] = {
    {CHECK_UNUSED_PREAMP_GAIN, "surplus_db", "", " dB", false, "`gainwarden retrim`", NULL},
    {CHECK_TOO_MANY_CUTS, "cuts_count", "", " cuts", false, "preamps down, then shallow cuts out",
     NULL},
    {CHECK_HIGH_PASS_MISSING, "pre_eq_count", "", "pre-eq", true,
     "high-pass of the mix on, or another tap", NULL},
    {CHECK_HIGH_PASS_MISSING, "usual_corner_low_hz", "", " Hz", false, "high-pass on", NULL},
    {CHECK_HIGH_PASS_LOW, "corner_hz", "", " Hz", false, "high-pass up", "usual_corner_low_hz"},
    {CHECK_HIGH_PASS_HIGH, "corner_hz", "", " Hz", false, "high-pass lower", NULL},
    {CHECK_MASTER_OFF_UNITY, "master_db", NULL, " dB", false,
     "put the master back, or `gainwarden retrim`", NULL},
    {CHECK_MASTER_OFF_UNITY, "open_sends_count", "", "master off", true,
     "if somebody needs it, up slowly", NULL},
    {CHECK_OWN_SEND_OFF_UNITY, "own_send_db", NULL, " dB", false,
     "put the send back, or `gainwarden retrim`", NULL},
    {CHECK_OWN_SEND_OFF_UNITY, "preamp_db", "", "send off", true,
     "bring the player's own send up slowly", NULL},
    {CHECK_SEND_FOLLOWS_FADER, "sends_count", "", " sends", false,
     "take them before the fader, or park it", NULL},
    {CHECK_BOOST_INTO_WEDGE, "boost_db", NULL, " dB", false, "boost out, cut beside it", NULL},
    {CHECK_MAKE_UP_INTO_WEDGE, "makeup_db", NULL, " dB", false, "make-up to 0", NULL},
    {CHECK_OPEN_UNUSED_INPUT, "preamp_db", "", " dB", false, "mute it, preamp down", NULL},
    {CHECK_OPEN_MICROPHONES, "microphones_count", "", " open", false,
     "close the sends nobody needs", NULL},
    {CHECK_EARS_UNPROTECTED, "above_mix_db", NULL, " dB", false, "limiter threshold lower", NULL},
    {CHECK_EARS_UNPROTECTED, "attack_ms", "", " ms", false, "faster attack", NULL},
    {CHECK_EARS_UNPROTECTED, "release_ms", "", " ms", false, "shorter release", NULL},
    {CHECK_EARS_UNPROTECTED, "other_threshold_db", "", "ears differ", true,
     "packs down, then both limiters alike", NULL},
    {CHECK_EARS_UNPROTECTED, "behind_db", NULL, " dB behind", false,
     "packs down, then the master to 0", NULL},
    {CHECK_EARS_UNPROTECTED, "ratio_to_1", "", ":1", false,
     "packs down, then limit harder or earlier", NULL},
    {CHECK_EARS_UNPROTECTED, "least_ratio_to_1", "", "no limiter", true,
     "packs down, then the limiter on", NULL},
    {CHECK_PHANTOM_MISMATCH, "needed_v", "", "no 48 V", true, "ask; input closed, then 48 V on",
     NULL},
    {CHECK_PHANTOM_MISMATCH, "phantom_v", "", "48 V", true, "ask; input closed, then 48 V off",
     NULL},
    {CHECK_INPUT_HOT, "level_dbfs", NULL, " dBFS", false, "preamp down, its sends up", NULL},
    {CHECK_INPUT_FAINT, "below_full_scale_db", "-", " dBFS", false, "microphone closer, then gain",
     NULL},
    {CHECK_VALUE_JUMPED, "leap_db", NULL, " dB", false, "put it back", "was_db"},
    {CHECK_MOVED_FROM_APPROVED, "moved_db", "", " dB", false, "put it back, or approve it", NULL},
    {CHECK_MOVED_FROM_APPROVED, "moved_count", "", " moved", false, "put it back, or approve it",
     NULL},
    {CHECK_PROTECTION_LOST, "phantom_was_v", "", "48 V off", true, "input closed, then 48 V back",
     NULL},
    {CHECK_PROTECTION_LOST, "phantom_is_v", "", "48 V on", true, "input closed, then 48 V back",
     NULL},
    {CHECK_PROTECTION_LOST, "lost_count", "", " lost", false, "put it back as it was", NULL},
    {CHECK_MARGIN_LEFT, "past_db", "", "little left", true, "put back what rose", NULL},
    {CHECK_LOOP_MARGIN, "loop_gain_db", "", "near a ring", true, "ring out slowly", NULL},
    {CHECK_MICROPHONE_AIM, "wins_db", "", " dB to win", false, "turn the microphone", NULL},
    {CHECK_MIX_RINGING, "through_input", "", "rings", true,
     "hand on the master, put back what rose", NULL},
    {CHECK_MIX_RINGING, "grew_db_s", "", "may ring", true, "listen, hand on the master", NULL},
    {CHECK_LEFT_ON, "talkback_on_count", "", "talkback", true, "switch it off", NULL},
    {CHECK_LEFT_ON, "oscillator_on_count", "", "oscillator", true, "switch it off", NULL},
};

static double
number_of(const struct row *row, const struct verdict *verdict)
{
    double number = verdict_figure(verdict, row->figure);

    return isnan(number) ? 0 : number;
}

/* NULL: the verdict has no figures. */
static const struct row *
row_of(int check, const struct verdict *verdict)
{
    const struct row *last = NULL;

    for (size_t i = 0; i < sizeof rows / sizeof *rows && verdict->figure_count > 0; i++) {
        if (rows[i].check != check)
            continue;
        last = &rows[i];
        if (number_of(last, verdict) != 0)
            break;
    }
    return last;
}

void
brief_figure(struct text *text, int check, const struct verdict *verdict)
{
    const struct row *row = row_of(check, verdict);
    double number = row ? number_of(row, verdict) : 0;

    if (!row)
        return;
    text_add(text, "%s", row->before ? row->before : number > 0 ? "+" : "");
    if (!row->word)
        text_add(text, "%f", number);
    text_add(text, "%s", row->behind);
}

void
brief_cure(struct text *text, int check, const struct verdict *verdict)
{
    const struct row *row = row_of(check, verdict);

    if (!row)
        return;
    text_add(text, "%s", row->cure);
    if (row->to && !isnan(verdict_figure(verdict, row->to)))
        text_add(text, " to %f", verdict_figure(verdict, row->to));
}
