"""How often somebody would be right on the learning bench who knew the truth: what no plan of these settings can pass.

    python tests/bench/ceiling.py 100 77      truths, seed

Of the settings that solve a truth with the focus as set, at most 24 are played over and over as a person would, on
another focus each time and with wrong looks; the best of them is played afresh.
"""

import sys
from concurrent.futures import ProcessPoolExecutor

import learning
import numpy as np
import truth as made_up

from rotary.head import Head, Optics, optics
from rotary.passes.plan.removal import finishing
from rotary.passes.plan.setting import Setting

MOST_TRIED, MOST_PASSES = 24, 24


def right(real: made_up.Truth, setting: Setting, head: Head, beam: Optics, mixer: np.random.Generator) -> bool:
    """A look after every pass, the finishing pass once it is clear, on a focus that is off anew."""
    marked = made_up.job(real, beam, mixer, float(mixer.normal(0, learning.FOCUS_SD_MM)))
    for _ in range(MOST_PASSES):
        marked.mark(setting)
        seen = learning.looked(marked, mixer)
        if seen in ("clear", "haze"):
            marked.mark(finishing(setting, head))
            seen = learning.looked(marked, mixer)
        if seen in ("clear", "tinted", "cut"):
            break
    return marked.outcome == "clear"


def best_share(number: int, seed: int) -> float:
    """How often the best setting for one truth is right."""
    _, _, head, real = learning.start(number, seed)
    beam, mixer = optics(head), np.random.default_rng([seed, number, 5])
    good = [setting for setting in learning.tries(head) if made_up.solvable(real, [setting], beam)]
    good = [good[at] for at in mixer.permutation(len(good))[:MOST_TRIED]]
    for times, kept in ((8, 4), (16, 1)):
        shares = [np.mean([right(real, one, head, beam, mixer) for _ in range(times)]) for one in good]
        good = [good[at] for at in np.argsort(-np.array(shares))[:kept]]
    return float(np.mean([right(real, good[0], head, beam, mixer) for _ in range(20)]))


def main() -> None:
    """Run and print the share with its standard error."""
    count, seed = (int(text) for text in sys.argv[1:3])
    with ProcessPoolExecutor(2) as pool:
        fit = learning.which_solvable(count, seed, pool)
        which = [at for at in range(count) if fit[at]]
        shares = list(pool.map(best_share, which, [seed] * len(which)))
    print(f"{len(shares)} truths: {100 * np.mean(shares):.0f} ± {100 * np.std(shares) / np.sqrt(len(shares)):.0f} %")


if __name__ == "__main__":
    main()
