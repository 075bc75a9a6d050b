/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <math.h>
#include <stddef.h>

#include "change/levels.h"
#include "check/ears.h"
#include "core/sum.h"
#include "desk/pair.h"

enum { EARS_DIFFER_DB = 1 };
#define BOTH 0.5       /* added to the grade where both ears are as bad */
enum { PEAK_DB = 20 }; /* of a dropped microphone, above the threshold */

static const enum param_id reads[] = {EAR_READS, PARAM_MIX_NAME, PARAMS};

static const enum weight weights[GRADES] = {[GRADE_SOFTER] = WEIGHT_FIX,
                                            [GRADE_LATE] = WEIGHT_FIX,
                                            [GRADE_NOTHING] = WEIGHT_STOP,
                                            [GRADE_OFF] = WEIGHT_STOP};

static bool
differ(const struct ear *one, const struct ear *other)
{
    return one->grade == GRADE_GOOD && other->grade == GRADE_GOOD &&
           fabs(one->threshold_db - other->threshold_db) > EARS_DIFFER_DB;
}

/* The figures of the grade; the ratio that counts as a limiter's stands in all of them. */
static void
found(struct look *look, const struct ear *ear)
{
    enum grade grade = ear->grade;

    look_found(look, weights[grade], grade);
    look_figure(look, "least_ratio_to_1", look->settings[LEAST_RATIO]);
    if (grade == GRADE_OFF)
        return;
    look_figure(look, "threshold_db", ear->threshold_db);
    look_figure(look, "ratio_to_1", ear->ratio);
    if (grade >= GRADE_SOFT)
        look_figure(look, "taken_db", ear_taken_db(ear));
    if (ear->behind_db > 0)
        look_figure(look, "behind_db", ear->behind_db);
    if (grade == GRADE_HIGH) {
        look_figure(look, "level_dbfs", ear->level_db);
        look_figure(look, "above_mix_db", ear_above_mix_db(ear));
        look_figure(look, "minutes_count", look->ground->levels ? LEVELS_MINUTES : 0);
    }
    if (grade == GRADE_SLOW)
        look_figure(look, "attack_ms", ear->attack_ms);
    if (grade == GRADE_HOLDS_ON)
        look_figure(look, "release_ms", ear->release_ms);
}

/* Two ears are told once: at the worse one, else at the first. Both are worse than one. */
static void
run_pair(struct look *look, struct ear *own, const struct ear *other)
{
    bool first = own->mix < other->mix, differs = differ(own, other);

    if (differs && first)
        own->grade = GRADE_DIFFERS;
    if (differs ? !first : own->grade < other->grade || (own->grade == other->grade && !first)) {
        if (own->grade != GRADE_UNKNOWN && (differs || other->grade > GRADE_GOOD))
            look_fold(look);
        return;
    }
    if (own->grade <= GRADE_GOOD)
        return;
    found(look, own);
    look->verdict->mix = other->mix;
    look_figure(look, "ears_count", own->grade == other->grade ? 2 : 1);
    if (own->grade == other->grade)
        look->verdict->severity += BOTH;
    if (differs)
        look_figure(look, "other_threshold_db", other->threshold_db);
}

static bool
is_asked(struct look *look, int mix)
{
    enum feeds feeds = look_feeds(look, mix);

    if (feeds == FEEDS_UNKNOWN)
        look_not_known(look);
    return feeds == FEEDS_IN_EAR && !look->show->mixes[mix].limited_elsewhere;
}

static void
run(struct look *look, struct object object)
{
    int partner;
    struct ear own, other = {.grade = GRADE_GOOD};

    if (!is_asked(look, object.mix))
        return;
    own = ear_of(look, object.mix);
    partner = pair_of(look->desk, look->show, object.mix);
    if (partner >= 0 && !look->show->mixes[partner].limited_elsewhere) {
        other = ear_of(look, partner);
        run_pair(look, &own, &other);
    } else if (own.grade > GRADE_GOOD) {
        found(look, &own);
    }
    if (look->verdict->outcome != OUTCOME_NOT_ASKED)
        return;
    if (own.grade == GRADE_UNKNOWN || other.grade == GRADE_UNKNOWN)
        look_not_known(look);
    else
        look_pass(look);
}

/* ---- words ---- */

static double
of(const struct verdict *verdict, const char *name)
{
    return verdict_figure(verdict, name);
}

/* "both ears, this mix and mix 8 Drums IEM R: " */
static void
say_which(struct wording *wording)
{
    double ears = of(wording->verdict, "ears_count");

    if (isnan(ears) || (enum grade)(int)wording->verdict->severity == GRADE_DIFFERS)
        return;
    text_add(&wording->says,
             ears == 2 ? "both ears, this mix and mix " : "one ear of two, the other is mix ");
    look_add_mix(wording->look, &wording->says, wording->verdict->mix);
    text_add(&wording->says, ": ");
}

static void
say_taken(struct text *says, const struct verdict *verdict)
{
    double behind_db = of(verdict, "behind_db");

    text_add(says,
             ": with a threshold of %f dB and %f:1%s the limiter takes %f dB off the loudest that "
             "the desk can send",
             of(verdict, "threshold_db"), of(verdict, "ratio_to_1"),
             isnan(behind_db) ? "" : ", and the master behind it up,",
             fmax(0, of(verdict, "taken_db")));
}

static void
say_high(struct text *says, const struct verdict *verdict)
{
    double minutes = of(verdict, "minutes_count");

    text_add(says,
             "limits, but late: what is %f dB louder than this mix carries passes untouched "
             "(threshold %f dB; the mix at %f dB full scale, ",
             of(verdict, "above_mix_db"), of(verdict, "threshold_db"), of(verdict, "level_dbfs"));
    if (minutes > 0)
        text_add(says, "the highest of %f minutes)", minutes);
    else
        text_add(says, "when it was read)");
}

static void
say_gives_way(struct text *says, const struct verdict *verdict)
{
    double ratio = of(verdict, "ratio_to_1");

    text_add(says,
             "limits, but gives way: at a ratio of %f:1 a peak %d dB above the threshold is still "
             "%f dB above it",
             ratio, PEAK_DB, PEAK_DB / ratio);
}

static void
say_slow(struct text *says, const struct verdict *verdict)
{
    double attack_ms = of(verdict, "attack_ms");

    if (!isnan(attack_ms))
        text_add(says,
                 "limits, but late: its attack takes %f ms, and what comes before that passes",
                 attack_ms);
    else
        text_add(says,
                 "the limiter lets go only after %f ms: the mix stays soft behind each peak, and "
                 "whoever turns the pack up meanwhile gets it back louder",
                 of(verdict, "release_ms"));
}

static void
say_grade(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;
    struct text *says = &wording->says;

    switch ((enum grade)(int)verdict->severity) {
    case GRADE_OFF:
        text_add(says, "an in-ear mix without a limiter: nothing stops a sudden loud sound on its "
                       "way to the ears");
        break;
    case GRADE_NOTHING:
        text_add(says, "a limiter that does nothing for these ears");
        say_taken(says, verdict);
        break;
    case GRADE_LATE:
        text_add(says, "limits, but late");
        say_taken(says, verdict);
        break;
    case GRADE_SOFTER:
    case GRADE_SOFT:
        say_gives_way(says, verdict);
        break;
    case GRADE_HIGH:
        say_high(says, verdict);
        break;
    case GRADE_SLOW:
    case GRADE_HOLDS_ON:
        say_slow(says, verdict);
        break;
    case GRADE_DIFFERS:
        text_add(says, "the two ears are limited differently: from %f dB here, from %f dB in mix ",
                 of(verdict, "threshold_db"), of(verdict, "other_threshold_db"));
        look_add_mix(wording->look, says, verdict->mix);
        break;
    case GRADE_UNKNOWN:
    case GRADE_GOOD:
    case GRADES:
        break;
    }
}

static void
say(struct wording *wording)
{
    const struct verdict *verdict = wording->verdict;

    say_which(wording);
    say_grade(wording);
    text_add(&wording->cure,
             "turn the packs down first. Then the limiter on, last in the chain of the mix, ratio "
             "%f:1 or more, fast attack, threshold a few dB above the player's normal peaks%s%s. "
             "The level in the ears depends on the pack, which no desk sees: let the player turn "
             "it up slowly",
             of(verdict, "least_ratio_to_1"),
             isnan(of(verdict, "ears_count")) ? "" : ", both ears alike",
             isnan(of(verdict, "behind_db")) ? "" : ", the master back at 0 dB");
}

/* ---- the worked example ---- */

static void
work_ratio(struct text *text, double ratio, double least)
{
    double shown = round(ratio * 100) / 100, left_db = sum_tenth(PEAK_DB / shown);
    double least_db = sum_tenth(PEAK_DB / least);

    text_add(text,
             "Take a dropped microphone: a peak %d dB above where the limiter begins, or should. "
             "A ratio of %g:1 leaves %d / %g = %f dB of it above the threshold, one of %g:1 leaves "
             "%d / %g = %f dB: ",
             PEAK_DB, shown, PEAK_DB, shown, left_db, least, PEAK_DB, least, least_db);
    sum_difference(text, left_db, least_db);
    text_add(text, " dB more at the ear drum.");
}

/* What is taken off a peak at full scale. Little is, so a ratio near 1 is written to a thousandth: a
 * hundredth of it would move the result by some tenths of a dB. */
static void
work_taken(struct text *text, const struct verdict *verdict)
{
    double threshold_db = of(verdict, "threshold_db"), ratio = of(verdict, "ratio_to_1");
    double behind_db = of(verdict, "behind_db");
    double shown = round(ratio * 1000) / 1000, room_db = round(-threshold_db * 100) / 100;
    double left_db = round(room_db / shown * 100) / 100, held_db = room_db - left_db;

    text_add(text,
             "Take a dropped microphone: a peak at full scale, 0 dB, where every desk's output "
             "ends. Above a threshold of %f dB there are ",
             threshold_db);
    sum_difference(text, 0, threshold_db);
    text_add(text, " dB left for the limiter to work in");
    if (threshold_db >= 0) {
        text_add(text, ": the level never gets there, so it takes nothing off.");
        return;
    }
    text_add(text, ". At ");
    text_add_number(text, shown, 3);
    text_add(text, ":1 %g / ", room_db);
    text_add_number(text, shown, 3);
    text_add(text, " = %g dB of them stay, so %g - %g = %g dB are taken off.", left_db, room_db,
             left_db, held_db);
    if (isnan(behind_db))
        return;
    text_add(text, " The master behind the limiter adds %f dB: ", behind_db);
    sum_difference(text, held_db, behind_db);
    text_add(text, " dB are left of that, against the same mix with the master at 0 dB.");
}

static void
work_high(struct text *text, const struct verdict *verdict)
{
    double above_db = of(verdict, "above_mix_db");
    double shown_db = sum_tenth(above_db);

    text_add(text,
             "The mix carries %f dB full scale. What is limited must come out of it louder "
             "than ",
             of(verdict, "level_dbfs"));
    SUM(text, of(verdict, "level_dbfs"), above_db);
    text_add(text, " dB, %f dB above that.", shown_db);
    if (shown_db <= 60)
        text_add(text, " That is 10^(%f / 20) = %g times the voltage at the ear drum, untouched.",
                 shown_db, pow(10, shown_db / 20));
}

static void
work_slow(struct text *text, const struct verdict *verdict)
{
    double attack_ms = of(verdict, "attack_ms"), release_ms = of(verdict, "release_ms");

    if (!isnan(attack_ms))
        text_add(text,
                 "A tone of 1 kHz swings once a millisecond. Of a click that begins now, %f x 1 = "
                 "%f swings pass before a limiter with an attack of %f ms holds it.",
                 attack_ms, attack_ms, attack_ms);
    else
        text_add(text,
                 "%f ms are %f / 1000 = %f s. So long the mix stays soft behind each peak, and a "
                 "pack that is turned up meanwhile stays up.",
                 release_ms, release_ms, release_ms / 1000);
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double ratio = of(verdict, "ratio_to_1"), least = of(verdict, "least_ratio_to_1");

    switch ((enum grade)(int)verdict->severity) {
    case GRADE_OFF:
        text_add(text, "Without a limiter nothing is taken off, which is a ratio of 1:1. ");
        work_ratio(text, 1, least);
        break;
    case GRADE_NOTHING:
    case GRADE_LATE:
        work_taken(text, verdict);
        break;
    case GRADE_SOFTER:
    case GRADE_SOFT:
        work_ratio(text, ratio, least);
        break;
    case GRADE_HIGH:
        work_high(text, verdict);
        break;
    case GRADE_SLOW:
    case GRADE_HOLDS_ON:
        work_slow(text, verdict);
        break;
    case GRADE_DIFFERS:
        text_add(text, "The same peak is held earlier in one ear: ");
        sum_difference(text, fmax(of(verdict, "threshold_db"), of(verdict, "other_threshold_db")),
                       fmin(of(verdict, "threshold_db"), of(verdict, "other_threshold_db")));
        text_add(text,
                 " dB louder in the other, and people turn up both by what the softer lacks.");
        break;
    case GRADE_UNKNOWN:
    case GRADE_GOOD:
    case GRADES:
        break;
    }
    text_add(text, " What level that is depends on the pack, which no desk sees.");
}

const struct check check_ears_unprotected = {
    .id = "ears-unprotected",
    .number = CHECK_EARS_UNPROTECTED,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_MIX,
    .spread = SPREAD_PAIR,
    .protects = true,
    .reads = reads,
    .settings = {{"least_ratio", 20, 2, 1000, "a ratio below this does not count as a limiter's", 0,
                  WEIGHT_NOTE, CREDIT_LIMITERS},
                 {"fix_ratio", 10, 1, 1000, "a ratio below this should be fixed", 0, WEIGHT_FIX,
                  CREDIT_PRACTICE},
                 {"least_taken_db", 3, 1, 60,
                  "what it must take off a peak at full scale; less comes too late", 0.5,
                  WEIGHT_FIX, CREDIT_PRACTICE},
                 {"above_mix_db", 12, 3, 200,
                  "distance from what the mix carries above which it starts too late", -1,
                  WEIGHT_NOTE, CREDIT_PRACTICE},
                 {"most_attack_ms", 5, 0, 1000, "a longer attack is too late", -0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"most_release_ms", 1000, 10, 60000, "a longer release holds on for too long", -50,
                  WEIGHT_NOTE, CREDIT_PRACTICE}},
    .severity = "grade of the fault",
    .worse_step = BOTH,
    .raise_after_s = 0.5,
    .fails_when =
        "the limiter of an in-ear mix is off or takes less than 1 dB off the loudest that the desk "
        "can send (stop), takes less than 3 dB or has a ratio under 10:1 (fix); has a ratio under "
        "20:1, starts far above what the mix carries, attacks slowly, holds on for long, or is set "
        "differently for two ears (note). What the mix carries counts where the profile names "
        "mix.level and it is above -40 dB full scale: the reading in an audit, the highest of ten "
        "minutes in a watch. A master above 0 dB behind the limiter counts against it, where the "
        "profile says so (\"filters.limiter\"); one below is no protection, it comes up in one "
        "move. Mixes side by side whose labels differ by left and right, or of one player, are a "
        "pair. A limiter in the transmitter can be declared in the show file (\"limiter\": "
        "\"transmitter\"). Passing says only that a limiter is on: what arrives in the ears "
        "depends on the pack, which no desk sees.",
    .why = "In-ears sit at the ear drum. A dropped microphone, a slipped fader or feedback reaches "
           "them at full level unless something stops it. A limiter that begins just below full "
           "scale, or far above what the player is used to, stops it too late.",
    .cure =
        "A limiter on every in-ear mix, last in its chain, for both ears alike. Hearing does not "
        "come back: follow the local rules for noise at work, and ask a qualified person where you "
        "are not sure.",
    .formula =
        "limiter off; or (0 - threshold) x (1 - 1 / ratio) - what lies behind it < 1 dB, < 3 "
        "dB; or ratio < 10, < 20; or threshold > what the mix carries + 12 dB; or attack > 5 "
        "ms, release > 1 s",
    .source =
        "Ratio 20:1 or more, fast attack, not only the one in the transmitter: " CREDIT_LIMITERS
        ". Threshold 2 to 3 dB above the mix's normal peak: " CREDIT_LIMIT_AT_PEAK
        ". In place of that, an absolute ceiling of 110 to 120 dB SPL at the "
        "ear: " CREDIT_LIMIT_AT_CEILING ".",
    .disagreement = "Agreed: a limiter on every in-ear mix (" CREDIT_LIMITERS
                    "; \"Sound Advice\" guidance for UK music venues). Not settled is where: some "
                    "rely on the one in the transmitter, iemrig.com "
                    "wants one in the mix as well; the show file can declare it. Nor how high its "
                    "threshold is: 2 to 3 dB above the mix's normal peak (" CREDIT_LIMIT_AT_PEAK
                    "), or whatever keeps an absolute ceiling of 110 to 120 dB SPL at the ear "
                    "(" CREDIT_LIMIT_AT_CEILING
                    "). The two disagree: the first leaves \"normal\" to whoever sets it, the "
                    "second needs a measurement at the pack. A limiter holds peaks, not the "
                    "dose of an evening; for that the local rules and a qualified person count.",
    .run = run,
    .say = say,
    .work = work,
};
