"""The blocks between cuts: cutter changes, spindle, coolant, stops, the end.

A change by hand is one message, with the speed to set where that is by hand too, ``Tn M6`` and
``M0``. The T and M6 words tell whoever reads the
program, a control or a check, which cutter cuts from there on; M0 is what makes a control without
a changer wait. The first change comes before any motion: until the right cutter is in and its
length known, no Z in the program means anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gcodekit.errors import Fault, Place, PostError
from gcodekit.job.model import Job
from gcodekit.job.workshop.machine import Machine
from gcodekit.planning.program import Program
from gcodekit.post.change_height import change_height
from gcodekit.post.contract import Post
from gcodekit.post.numbers import whole_speed
from gcodekit.post.tape import Tape
from gcodekit.trade.cutter import Cutter
from gcodekit.units import format_coordinate

# How far a control without G4 rises, and comes back, while the spindle gathers speed.
_START_RISE = 1.0
_COOLANT = {"none": "", "mist": "M7", "flood": "M8"}


def check_habits(machine: Machine, post: Post, workshop: str) -> None:
    """Refuse a machine whose habits its control cannot serve.

    Raises
    ------
    PostError
    """
    wants = (
        ("tool_change", machine.tool_change == "automatic" and not post.tool_change, "by hand"),
        ("tool_length", machine.tool_length == "table" and not post.length_offsets, "touch off"),
    )
    faults = [
        Fault(
            Place(workshop, key=f"machine.{key}"),
            f'post {post.name} does not support "{getattr(machine, key)}"',
            f'write "{instead}" or name another post',
        )
        for key, wrong, instead in wants
        if wrong
    ]
    if faults:
        raise PostError(faults)


def one_file_a_cutter(job: Job, post: Post) -> bool:
    """Tell whether each visit of a cutter is a program file of its own."""
    return post.one_cutter_a_file or job.workshop.machine.tool_change == "separate files"


@dataclass(slots=True)
class MachineState:
    """The machine as the program has left it: which cutter, which speed, turning or not.

    `owed` are the seconds that the spindle needs to gather speed and has not been given yet.
    """

    tape: Tape
    program: Program
    cutter: Cutter | None = None
    speed: float = 0
    turning: bool = False
    owed: float = 0.0

    @property
    def machine(self) -> Machine:
        """The machine the program is for."""
        return self.program.job.workshop.machine

    def take(
        self, cutter: Cutter, speed: float, touch_off: str = "", to_come: Sequence[Cutter] = ()
    ) -> None:
        """Change to a cutter, then Z up with it. `speed` is what it starts at, `touch_off` where it
        is touched off here, `to_come` the cutters from here on."""
        if self.cutter is not None:
            self.clear_off(to_come)
        self._change(cutter, speed, touch_off or self.touch_off(cutter))
        self.cutter = cutter
        self.tape.forget(hand=True)
        if self.machine.tool_length == "table":
            self.tape.block("G43", f"H{cutter.number}")
        self.tape.rapid(None, None, self.program.safe_z)

    def clear_off(self, to_come: Sequence[Cutter] = ()) -> None:
        """Z up, everything off, the table where the operator wants it."""
        height = self.program.safe_z
        if self.cutter is not None:
            height = change_height(self.program, self.cutter, to_come)
        self.tape.rapid(None, None, height)
        self._still()
        if self.machine.park is not None:
            self.tape.rapid(*self.machine.park, None)

    def _change(self, cutter: Cutter, speed: float, touch_off: str) -> None:
        by_hand = self.machine.tool_change != "automatic"
        touch = self.machine.tool_length == "touch off"
        words = f"cutter {cutter.number}: {cutter.name}"
        if by_hand or touch:
            # in one message: some controls show only the last one
            wanted = self._whole(speed)
            if self.machine.spindle.by_hand and wanted > 0 and wanted != self.speed:
                words += f", {_set_to(wanted)}"
                self.speed = wanted
            if touch:
                words += f", then {touch_off}"
            self.tape.message(f"load {words}")
        else:
            self.tape.comment(words)
        if self.tape.post.tool_change:
            self.tape.block(f"T{cutter.number} M6")
        if by_hand or touch:
            self.tape.block("M0")

    def touch_off(self, cutter: Cutter) -> str:
        """The instruction for touching a cutter off: where, and what Z to set."""
        return self.program.touch_off.get(cutter.number, "touch off at Z0")

    def run_at(self, speed: float) -> None:
        """Spindle clockwise at a speed; a hand-set one waits for the operator."""
        spindle, wanted = self.machine.spindle, self._whole(speed)
        if wanted <= 0 or (self.turning and wanted == self.speed):
            return
        if spindle.by_hand and wanted != self.speed:
            self._still()
            self.tape.message(_set_to(wanted))
            self.tape.block("M0")
            self.tape.forget()
            self.tape.rapid(None, None, self.program.safe_z)
        started = not self.turning
        self.tape.block(f"S{wanted:g}", "M3" if started else "")
        self.speed, self.turning = wanted, True
        if started:
            self.owed = spindle.start_time
            self.wait()
            if self.machine.coolant != "none":
                self.tape.block(_COOLANT[self.machine.coolant])

    def _whole(self, speed: float) -> float:
        spindle = self.machine.spindle
        return whole_speed(speed, spindle.slowest, spindle.fastest)

    def wait(self) -> None:
        """Until the spindle has its speed; a control without G4 rises and comes back for it, and
        not before the program has said where in X and Y."""
        if self.owed <= 0 or not (self.tape.post.dwells or self.tape.placed):
            return
        height = self.tape.true[2]
        self.tape.dwell(self.owed, rise=_START_RISE)
        self.tape.rapid(None, None, height)
        self.owed = 0.0

    def stop(self, text: str) -> None:
        """Wait for the operator in the middle of the work, then go on as before."""
        running = self.turning
        self._still()
        self.tape.message(text)
        self.tape.block("M0")
        self.tape.resume()
        if running:
            self.run_at(self.speed)

    def pause(self, text: str) -> None:
        """Wait between two cuts, Z up and everything off, for work that may move the axes."""
        if self.cutter is not None:
            self.clear_off()
        self.tape.message(text)
        self.tape.block("M0")
        self.tape.forget(hand=True)
        if self.cutter is not None:
            self.tape.rapid(None, None, self.program.safe_z)

    def _still(self) -> None:
        if self.turning:
            if self.machine.coolant != "none":
                self.tape.block("M9")
            self.tape.block("M5")
        self.turning = False

    def finish(self) -> None:
        """The end of the program."""
        self.clear_off(self.program.then)
        self.tape.comment("end")
        for block in self.tape.post.end:
            self.tape.block(block)


def _set_to(speed: float) -> str:
    return f"set the spindle to {speed:g} rev/min"


def check_park(program: Program) -> None:
    """Refuse a height for cutter changes at which something stands in the way. Raises
    `PostError`."""
    high, low = program.job.workshop.machine.park_z, program.safe_z
    if high is not None and high < low:
        units = program.job.units
        text = f"{format_coordinate(high, units)} is lower than the height that clears the work"
        hint = f"set z = {format_coordinate(low, units)} or more"
        raise PostError([Fault(Place(program.job.workshop.file, key="machine.park.z"), text, hint)])
