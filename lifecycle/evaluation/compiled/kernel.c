/* The exact expectation of a draw, as one pass over the months: the model in C.

Lecture
-------
The same account as in `expectation` (timeline, hiding, standing, flows, ledger), which stays the form
to read first, the fallback and the judge. There each quantity is an array over all months; here a spell
is walked through once, month after month, and what a roof hides is a handful of running sums. In month t:

1. the seal age and A `grow`, leaks start and `hide`, signs show some (`found`)
2. the roof is renewed by a forcing find or the end of its life; stripping shows the rest (`uncovered`)
3. a sale happens here (`sell`)
4. the planned change strips the roof, or the visits find leaks and `rejuvenate` it

Amounts are written on *lines* of the account as soon as they are known, discounted from the start of
the spell: what is paid before a sale of month t on entry t, what is paid after it on entry t + 1. So a
sale in month H counts the entries 0 ... H, whatever they hold; and a roof laid in month L adds its
entries 0 ... H - L, times the discount factor of L. `account` adds the spells up by the renewal equation.

LANES draws go side by side in one value of type `Draws`; arithmetic on it is arithmetic on each. Where
draws part ways (a leak turns severe after as many months as its draw says) each lane looks for itself.
No result depends on what stands in the other lanes. Nothing is divided by a thinning: `finds` may be 1.

The past of the standing roof is walked through in the same way: for what it hides today, and for how likely
it is (`recall`).

The caller (`calling`) checks sizes and indices, says which visits are due in each month, and names the
lines. The files are read in the order in which they are included.
*/

#if defined(__x86_64__)
#include <cpuid.h>
#endif
#include "draws.h"
#include "given.h"
#include "ageing.h"
#include "hiding.h"
#include "spell.h"
#include "account.h"
#include "history.h"

#ifdef _WIN32
#define EXPORTED __declspec(dllexport)
#else
#define EXPORTED __attribute__((visibility("default")))
#endif

EXPORTED const char *lifecycle_layout(void)
{
    return "Leaks" LEAKS(NAME) ";Roof" ROOF(NAME) ";Visit" VISIT(NAME) ";Terms" TERMS(NAME)
           ";Change" CHANGE(NAME) ";HiddenLeak" HIDDEN_LEAK(NAME) ";Spell" SPELL(NAME) ";Past" PAST(NAME)
           ";Way" WAY(NAME) ";Results" RESULTS(NAME) ";History" HISTORY(NAME) ";Lines" LINES(NAME) ";Sizes" SIZES(NAME);
}

EXPORTED int lifecycle_lanes(void) { return LANES; }

/* What rounds its own way: with FMA a product is added unrounded, and compilers choose where. */
EXPORTED const char *lifecycle_instructions(void)
{
    return
#if defined(__AVX512F__)
        "AVX-512"
#elif defined(__AVX2__)
        "AVX2"
#elif defined(__x86_64__)
        "x86-64"
#elif defined(__aarch64__)
        "ARM"
#else
        "plain C"
#endif
#if defined(__FMA__) && !defined(__AVX2__)
        " with FMA"
#elif defined(__AVX2__) && !defined(__FMA__)
        " without FMA"
#endif
#if defined(__clang__)
        ", clang";
#else
        ", gcc";
#endif
}

/* Whether this processor runs what was compiled: a folder may have come from another machine. */
EXPORTED int lifecycle_runs(void)
{
    int runs = 1;
#if defined(__x86_64__)
    /* Asked of the processor itself: what compilers offer for it says 0 in a library that ziglang builds. */
    unsigned a, b = 0, c = 0, d, low = 0, high;
    __get_cpuid(1, &a, &b, &c, &d);
    const int fma = c >> 12 & 1, saves = c >> 27 & 1;
    if (!__get_cpuid_count(7, 0, &a, &b, &c, &d)) { b = 0; }
    if (saves) { __asm__ volatile("xgetbv" : "=a"(low), "=d"(high) : "c"(0)); }
    const int wide = (low & 0x06) == 0x06, widest = (low & 0xe6) == 0xe6;
#ifdef __AVX512F__
    runs &= widest && (b & 0xc0030000u) == 0xc0030000u; /* f, dq, bw, vl */
#endif
#ifdef __AVX2__
    runs &= wide && fma && (b >> 5 & 1);
#endif
#ifdef __BMI2__
    runs &= (int)(b >> 8 & 1);
#endif
    (void)fma, (void)wide, (void)widest;
#endif
    return runs;
}

static void furnish(Room *room)
{
    const Sizes *sizes = room->of->sizes;
    const size_t entries = (size_t)sizes->months + 2, cohorts = (size_t)sizes->most_cohorts + 1;
    const size_t longest = entries > cohorts + 1 ? entries : cohorts + 1;
    const size_t rates = (size_t)sizes->rates;
    room->sold = room_for(room, entries, 1);
    room->factor = draws_for(room, rates * entries);
    room->running = draws_for(room, rates * entries);
    room->weight = draws_for(room, rates * entries);
    Births *births = &room->births;
    Turning *turning = &room->turning;
    Today *today = &room->today;
    Draws **by_month[] = {
        &births->plain, &births->puncture, &births->end, &births->left, &births->sudden,
        &births->sudden_amount, &turning->plain, &turning->end, &turning->silent,
        &turning->silent_puncture, &turning->silent_sound, &room->laid, &room->own, &room->following,
        &room->total, &room->net};
    for (size_t i = 0; i < sizeof by_month / sizeof *by_month; i++) *by_month[i] = draws_for(room, entries);
    room->left_by_visits = draws_for(room, longest);
    room->left = draws_for(room, longest);
    today->age = room_for(room, cohorts, sizeof(double));
    Draws **by_cohort[] = {&today->plain, &today->puncture, &today->end, &today->silent,
                           &today->silent_puncture, &today->puncture_now};
    for (size_t i = 0; i < sizeof by_cohort / sizeof *by_cohort; i++)
        *by_cohort[i] = draws_for(room, cohorts);
    room->results = room_for(room, (size_t)sizes->new_roofs + 1, sizeof(Result));
    if (room->failed) return;
    const size_t one = ((size_t)sizes->lines + RESULTS_BY_MONTH) * entries;
    Draws *all_results = draws_for(room, ((size_t)sizes->new_roofs + 1) * one);
    if (room->failed) return;
    for (int i = 0; i <= sizes->new_roofs; i++) {
        Result *result = &room->results[i];
        result->lines = all_results + (size_t)i * one;
        result->renewed = result->lines + (size_t)sizes->lines * entries;
        result->renewed_after = result->renewed + entries;
        result->found_at_sale = result->renewed_after + entries;
        result->residual = result->found_at_sale + entries;
    }
}

/* Evaluate the draws of the columns first ... end - 1, both multiples of LANES; return why it failed, or 0. */
EXPORTED int lifecycle_expect(const Case *of, int64_t first, int64_t end)
{
    const Sizes *sizes = of->sizes;
    const int entries = sizes->months + 2;
    Room here = {.of = of}, *room = &here;
    furnish(room);
    for (room->column = first; !room->failed && room->column < end; room->column += LANES) {
        READ(room, 0, room->terms);
        memset(room->sold, 0, (size_t)entries);
        for (int year = 1; year <= sizes->years; year++) room->sold[12 * year] = 1;
        EACH_LANE {
            room->holding[lane] = (int)room->terms.holding_months[lane];
            room->sold[room->holding[lane]] = 1;
        }
        for (int rate = 0; rate < sizes->rates; rate++) {
            const Draws a_month_later = number(room, FIRST_RATE + rate);
            Draws *factor = room->factor + rate * entries;
            factor[0] = all(1.0);
            for (int t = 1; t < entries; t++) factor[t] = factor[t - 1] * a_month_later;
        }
        find_today(room);
        for (int i = 0; i < sizes->new_roofs; i++) run_spell(room, &of->spells[i], &room->results[i]);
        for (int i = 0; i < sizes->ways; i++) {
            run_spell(room, &of->spells[of->ways[i].existing], &room->results[sizes->new_roofs]);
            account(room, &of->ways[i]);
        }
    }
    return leave(room);
}

/* How likely the past is, of the same draws; of the sizes, months are those of the past. */
EXPORTED int lifecycle_recall(const Case *of, int64_t first, int64_t end)
{
    Room here = {.of = of}, *room = &here;
    furnish(room);
    for (room->column = first; !room->failed && room->column < end; room->column += LANES) recall(room);
    return leave(room);
}
