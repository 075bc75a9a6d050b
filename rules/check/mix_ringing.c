/* SPDX-License-Identifier: MIT */
/* What may be ringing: a band of a mix's own spectrum rises like a ring (spectrum/rise.h). Alone that
 * is a suspicion, for some music rises so, too. It is told where the desk's settings say the same: a
 * path into the mix rose just before; or a ring-out noted a ring there, and the mix stands near what
 * it proved. A mix into which no loop path is open cannot ring.
 *
 * What rose is looked for in the desks of the ten seconds before the rise was seen, less what was put
 * back since.
 */
#include <math.h>
#include <stddef.h>

#include "change/suspects.h"
#include "check/check.h"
#include "core/sum.h"
#include "proof/reads.h"
#include "proof/say.h"
#include "proof/side.h"
#include "proof/since.h"
#include "sound/band.h"

enum { ROSE_DB, NEAR_DB };

static const enum param_id reads[] = {PROOF_READS, PARAMS};

/* ---- loops ---- */

/* A line source is no loop; what nobody knows may be one. */
static bool
may_loop(struct look *look, int input)
{
    const struct source *source = look_source(look, input);

    return !source || (!source->line && source != &sources[SOURCE_UNUSED]);
}

/* Whether a loop path is open into the mix. */
static enum sure
loop_is_open(struct look *look, int mix)
{
    enum sure open = SURE_NO;

    for (int i = 0; i < desk_count(look->desk, INDEX_INPUT) && open != SURE_YES; i++)
        if (may_loop(look, i))
            open = sure_or(open, side_open(look->desk, i, mix));
    return open;
}

/* ---- what rose ---- */

struct rose {
    int input; /* -1: none did */
    double db; /* HUGE_VAL: it was closed */
};

static double
tone_rose_db(bool (*of)(struct tone *, const struct desk *, int), const struct desk *before,
             const struct desk *now, int number, double hz)
{
    struct tone was = {0}, is = {0};
    double db = 0;

    of(&was, before, number);
    of(&is, now, number);
    if (was.known && is.known && !tone_same(&was, &is))
        db = tone_db(&is, hz) - tone_db(&was, hz);
    tone_release(&was);
    tone_release(&is);
    return db;
}

/* By how much the path is louder there than it was; NAN: not known. */
static double
path_rose_db(const struct desk *before, const struct desk *now, int input, int mix, double hz)
{
    struct path_level was, is;
    double db;

    if (side_open(now, input, mix) != SURE_YES)
        return NAN;
    if (side_open(before, input, mix) == SURE_NO)
        return HUGE_VAL;
    if (!path_level_on(before, input, mix, &was) || !path_level_on(now, input, mix, &is))
        return NAN;
    db = is.sum_db - was.sum_db + tone_rose_db(tone_of_mix, before, now, mix, hz);
    return is.filtered ? db + tone_rose_db(tone_of_input, before, now, input, hz) : db;
}

static struct rose
most_risen(struct look *look, const struct suspect *suspect, int mix)
{
    struct rose rose = {-1, look->settings[ROSE_DB]};

    for (int i = 0; suspect->before && i < desk_count(look->desk, INDEX_INPUT); i++) {
        double db = may_loop(look, i)
                        ? path_rose_db(suspect->before, look->desk, i, mix, suspect->risen.hz)
                        : NAN;

        if (db >= rose.db && (rose.input < 0 || db > rose.db))
            rose = (struct rose){i, db};
    }
    return rose;
}

/* Which part of the path rose the most; 0: none. */
static int
part_that_rose(const struct desk *before, const struct desk *now, int input, int mix, double hz)
{
    struct tone tones[4] = {0};
    struct since since;

    tone_of_input(&tones[0], before, input);
    tone_of_mix(&tones[1], before, mix);
    tone_of_input(&tones[2], now, input);
    tone_of_mix(&tones[3], now, mix);
    since = since_of(&(struct since_end){before, &tones[0], &tones[1]},
                     &(struct since_end){now, &tones[2], &tones[3]}, input, mix, hz);
    for (int i = 0; i < 4; i++)
        tone_release(&tones[i]);
    return since.count > 0 ? since.of[0].part : 0;
}

static void
add_risen(struct look *look, const struct suspect *suspect, int mix, struct rose rose)
{
    int part;

    look_figure(look, "through_input", rose.input + 1);
    if (isinf(rose.db)) {
        look_figure(look, "opened_count", 1);
        return;
    }
    look_figure(look, "rose_db", rose.db);
    part = part_that_rose(suspect->before, look->desk, rose.input, mix, suspect->risen.hz);
    if (part > 0)
        look_figure(look, "part", part);
}

/* ---- the ring-out's record ---- */

static const double semitone_octaves = 1.0 / 12;

/* A ring that was noted there, where little is left of what was proved; NAN: none. */
static double
noted_hz(struct look *look, const struct risen *risen, int mix, double *left_db)
{
    struct proof *proof = look->ground->proof;
    const struct proof_mix *of = proof ? proof_of_mix(proof, mix) : NULL;
    const struct proofs *kept = proof ? proof_kept(proof) : NULL;

    if (!of || of->state != PROOF_LEFT || of->margin.db > look->settings[NEAR_DB])
        return NAN;
    *left_db = of->margin.db;
    for (int i = 0; i < kept->ring_count; i++)
        if (kept->rings[i].mix == mix &&
            fabs(log2(kept->rings[i].hz / risen->hz)) <= risen->within_octaves + semitone_octaves)
            return kept->rings[i].hz;
    return NAN;
}

/* ---- judging ---- */

static void
judge(struct look *look, const struct suspect *suspect, int mix)
{
    const struct risen *risen = &suspect->risen;
    struct rose rose = most_risen(look, suspect, mix);
    double left_db = NAN, noted = noted_hz(look, risen, mix, &left_db);
    bool told = rose.input >= 0 || !isnan(noted);

    look_found(look, told ? WEIGHT_FIX : WEIGHT_NOTE, suspect->places);
    look_figure(look, "places_count", suspect->places);
    look_figure(look, "grew_db_s", risen->db_s);
    look_figure(look, "at_hz", risen->hz);
    look_figure(look, "within_semitones", 12 * risen->within_octaves);
    look_figure(look, "level_dbfs", risen->level_db);
    look_figure(look, "band_hz", band_graphic_nominal_hz(BANDS, risen->third));
    if (suspect->places > 1)
        look_figure(look, "before_hz", suspect->before_hz);
    if (!isnan(noted)) {
        look_figure(look, "noted_hz", noted);
        look_figure(look, "left_db", left_db);
    }
    if (rose.input >= 0)
        add_risen(look, suspect, mix, rose);
}

static void
miss_loop(struct look *look, int mix)
{
    look_miss(look, INDEX_MIX, mix, "whether a loop path into it is open is not known");
    look_not_known(look);
}

static void
run(struct look *look, struct object object)
{
    const struct suspects *suspects = look->ground->suspects;
    enum feeds feeds;
    enum sure open;

    if (!suspects || suspects_desk(suspects) != look->desk) /* a desk that is only thought of */
        return;
    feeds = look_feeds(look, object.mix);
    if (feeds != FEEDS_UNKNOWN && !feeds_loudspeaker(feeds))
        return;
    if (!suspects_of(suspects, object.mix)->stands) {
        look_pass(look);
        return;
    }
    open = loop_is_open(look, object.mix);
    if (open == SURE_NO)
        look_pass(look);
    else if (open == UNSURE)
        miss_loop(look, object.mix);
    else
        judge(look, suspects_of(suspects, object.mix), object.mix);
}

/* ---- words ---- */

static const char *
give_or_take(double semitones)
{
    return semitones > 0.75  ? "a semitone"
           : semitones > 0.4 ? "half a semitone"
                             : "a third of a semitone";
}

static void
say_risen(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double input = verdict_figure(verdict, "through_input");
    double part = verdict_figure(verdict, "part");

    if (isnan(input))
        return;
    text_add(&wording->says, ", after the path of input ");
    look_add_input(wording->look, &wording->says, (int)input - 1);
    if (!isnan(verdict_figure(verdict, "opened_count")))
        text_add(&wording->says, " opened");
    else
        text_add(&wording->says, " rose by %f dB", verdict_figure(verdict, "rose_db"));
    if (!isnan(part))
        text_add(&wording->says, " (%s)", since_part((int)part));
}

static void
say_cure(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;

    if (!isnan(verdict_figure(verdict, "opened_count")))
        text_add(&wording->cure, "a hand on the master, and close again what opened");
    else if (!isnan(verdict_figure(verdict, "through_input")))
        text_add(&wording->cure, "a hand on the master, and put back what rose, the largest first");
    else
        text_add(&wording->cure,
                 "listen, with a hand on the master. If it rings: the master down until it stops, "
                 "then the %f Hz band of the mix 3 dB down, and the master slowly back",
                 verdict_figure(verdict, "band_hz"));
}

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    double noted = verdict_figure(verdict, "noted_hz");
    double before = verdict_figure(verdict, "before_hz");

    text_add(&wording->says,
             verdict->weight == WEIGHT_FIX ? "rings, by all signs, at " : "may be ringing at ");
    proof_says_hz(&wording->says, verdict_figure(verdict, "at_hz"));
    text_add(&wording->says, ", give or take %s: it grew by %f dB a second",
             give_or_take(verdict_figure(verdict, "within_semitones")),
             verdict_figure(verdict, "grew_db_s"));
    say_risen(wording);
    if (!isnan(before)) {
        text_add(&wording->says, ". It stands out more than what rose before, at ");
        proof_says_hz(&wording->says, before);
    }
    if (!isnan(noted)) {
        text_add(&wording->says, ". The ring-out noted a ring at ");
        proof_says_hz(&wording->says, noted);
        text_add(&wording->says, ", and of what it proved %f dB are left",
                 verdict_figure(verdict, "left_db"));
    }
    text_add(&wording->says, ". From the desk's spectrum: some music rises so, too");
    say_cure(wording);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double grew = verdict_figure(verdict, "grew_db_s");
    double level = sum_tenth(verdict_figure(verdict, "level_dbfs"));

    text_add(text, "A loop above onset gets louder by the same number of dB each second. To full "
                   "scale there are ");
    sum_difference(text, 0, level);
    text_add(text, " dB; at %f dB a second that is a way of %f s. ", grew,
             sum_tenth(-level / grew));
    if (verdict->weight == WEIGHT_FIX)
        text_add(text, "The desk's settings say the same, so it is told.");
    else
        text_add(text, "Nothing on the desk says the same, so it is a suspicion and no more.");
    text_add(text, " Bands that rose so: %f; another, louder one is told as worse.",
             verdict_figure(verdict, "places_count"));
}

const struct check check_mix_ringing = {
    .id = "mix-ringing",
    .number = CHECK_MIX_RINGING,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_MIX,
    .spread = SPREAD_OWN,
    .urgency = URGENT_FIX,
    .watch_only = true,
    .of_spectra = true,
    .suspects = true,
    .reads = reads,
    .settings = {{"rose_db", 1, 0.1, 20,
                  "a path that rose by so much within the ten seconds before counts as the cause",
                  0, WEIGHT_FIX, CREDIT_PRACTICE},
                 {"near_db", 3, 0, 20,
                  "so little left of what a ring-out proved is near a ring that it noted", 0,
                  WEIGHT_FIX, CREDIT_PRACTICE}},
    .severity = "places_count",
    .worse_step = 1, /* how fast it grew is no matter once it was told; that it is elsewhere is */
    .raise_after_s = 0.1,
    .clear_after_s = 3,
    .fails_when =
        "a band of the spectrum that the desk publishes of a loudspeaker mix climbs in a straight "
        "line of dB, clear of its neighbours and harmonics, and louder than anything there in the "
        "last 20 s, and by more than what hands raised meanwhile. To fix where a path into the mix "
        "rose within the ten seconds before, or where a ring-out noted a ring there and little is "
        "left of what it proved; else a note, which no chat gets. Where another band takes over, "
        "the louder one, that is told as worse. Silent "
        "for ten seconds after a recall, and where no loop path is open.",
    .why =
        "A loop that is just past its limit grows for seconds before it howls, and a spectrum can "
        "show it before anybody hears it. What it cannot see: a mix that is near its limit and "
        "does not ring yet, a ring that grows slower than 3 dB a second, one that is masked in "
        "its band. What it takes for a ring and is none: tones that swell, sirens, a string that "
        "is driven into a harmonic.",
    .cure = "Put back what rose. Where nothing did: the master down until it stops, a shallow cut "
            "there, and the master slowly back.",
    .formula =
        "least squares of the band's level over 0.6 to 3 s: at least 8 dB up, no further than "
        "0.5 dB from a straight line (or 12 dB and 0.4 dB in 0.3 s)",
    .source =
        "exponential growth above onset: H. Nyquist, Regeneration Theory, 1932 (from memory). "
        "The constants: a study on 4 hours of music and speech and 570 simulated loops, which "
        "found half of the rings before they clipped, and in music 0.5 to 2 false alarms an "
        "hour; with a rise of a path before it, 0.04.",
    .disagreement =
        "common practice, no source: many trust an ear with a hand on the master more than any "
        "display, and notch filters that set themselves least of all, for they cut held notes. So "
        "this one only says what it sees, and touches nothing.",
    .run = run,
    .say = say,
    .work = work,
};
