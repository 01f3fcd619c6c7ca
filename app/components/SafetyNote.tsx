/** In a few plain words, on every page. */
export function SafetyNote() {
  return (
    <footer className="safety">
      <strong>For research and bench use.</strong> Aslaid is not a medical device and not an emergency stop. Hardware stops, the cell’s own limits and the
      responsible licensed people come first; local rules and the applicable standards decide.
    </footer>
  );
}
