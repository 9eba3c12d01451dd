// Which of the two views: the page itself, or, at #wall, that for a screen on
// a wall.
import { useEffect, useState } from "preact/hooks";

export const WALL = "#wall";

const here = (): boolean => location.hash === WALL;

/** Back to the page, as the link does. */
export function leaveWall(): void {
  location.hash = "";
}

export function useWall(): boolean {
  const [wall, setWall] = useState(here());
  useEffect(() => {
    const moved = () => setWall(here());
    const key = (event: KeyboardEvent) => {
      if (event.key === "Escape" && here()) leaveWall();
    };
    window.addEventListener("hashchange", moved);
    window.addEventListener("keydown", key);
    return () => {
      window.removeEventListener("hashchange", moved);
      window.removeEventListener("keydown", key);
    };
  }, []);
  return wall;
}
